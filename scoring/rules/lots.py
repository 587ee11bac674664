"""Draws that anybody can repeat: an order that follows from a seed and from names, nothing else.

How it works, by hand or in any language: write the seed, a line feed, and the name, in UTF-8 with
composed letters (NFC), and take the SHA-256 of that; do so for every name; the name with the smallest
digest (read as hexadecimal text) is drawn first. In a shell, for one name:

    printf '%s\\n%s' 'SEED' 'NAME' | sha256sum

A list in another order gives the same draw, and no generator of random numbers is needed to check it.
Whoever picks a seed can try several, so a seed should be something that nobody present chooses:
the number drawn by a child, the last digits of something published after entries closed.
SHA-256: FIPS 180-4. That draws are made this way is our own choice.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterable

from .said import Malformed, said


def digest(seed: str, name: str) -> str:
    """Return the SHA-256 of seed, line feed and name, as 64 hexadecimal digits."""
    text = unicodedata.normalize("NFC", f"{seed}\n{name}")
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def drawn(seed: str, names: Iterable[str]) -> list[str]:
    """Return the names in the order they are drawn.

    Raises Malformed for an empty seed, a line feed in it, or a name that comes twice: two equal names
    cannot be told apart, so write their numbers beside them.
    """
    if not seed or "\n" in seed:
        raise Malformed("seed", said("a seed is a text of one line"))
    listed = list(names)
    if len({unicodedata.normalize("NFC", name) for name in listed}) < len(listed):
        raise Malformed("names", said("two of these names are the same: add what tells them apart"))
    return sorted(listed, key=lambda name: digest(seed, name))
