"""Which names may be one person's: proposals for people to judge, never acted on by itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher

# Two names of so like letters are shown beside each other (common practice, no source).
ALIKE = 0.88


def are_alike(one: str, two: str) -> bool:
    """Whether two plain names may be one: the same words in another order, an initial, or a slip of the pen."""
    first, second = one.split(), two.split()
    if sorted(first) == sorted(second):
        return True
    if first and second and first[-1] == second[-1]:
        given = sorted((" ".join(first[:-1]), " ".join(second[:-1])), key=len)
        if len(given[0]) <= 1 and given[1].startswith(given[0]):
            return True
    return SequenceMatcher(None, one, two, autojunk=False).ratio() >= ALIKE


def _letters(name: str) -> int:
    """Return the letters of a name as bits, the first, second and third of a kind each a bit of its own."""
    bits = 0
    for letter in set(name):
        place = ord(letter) % 64 * 3
        bits |= ((1 << min(name.count(letter), 3)) - 1) << place
    return bits


def pairs(names: Iterable[tuple[int, str]]) -> Iterator[tuple[int, int]]:
    """Return the pairs of ids whose plain names are alike, the lower id first, in order.

    Only names that share the beginning of a word are compared, and in full only those that share a last
    word or nearly all letters: each letter that one name lacks takes from the likeness what it is worth.
    """
    blocks: dict[str, list[tuple[int, str, str, int]]] = defaultdict(list)
    for pk, name in names:
        words = name.split()
        told = (pk, name, words[-1] if words else "", _letters(name))
        for begin in {word[:3] for word in words if len(word) > 1}:
            blocks[begin].append(told)
    found = set()
    for block in blocks.values():
        for place, (one, first, last, letters) in enumerate(block):
            length = len(first)
            for two, second, other_last, others in block[place + 1 :]:
                far = (letters ^ others).bit_count() > (1 - ALIKE) * (length + len(second))
                if far and last != other_last:
                    continue
                pair = (min(one, two), max(one, two))
                if pair not in found and are_alike(first, second):
                    found.add(pair)
    yield from sorted(found)
