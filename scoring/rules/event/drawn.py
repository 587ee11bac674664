"""Working a draw out: from an order of strength, a way and a seed to the order of seeds and the groups.

The same question always gives the same answer, and names are numbers of entries: see `rules/lots.py`
for how anybody repeats it with paper and a shell.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from scoring.rules.brackets import LARGEST, seed_order
from scoring.rules.groups import draw_groups
from scoring.rules.lots import digest, drawn
from scoring.rules.said import Malformed, said

from .draws import GROUPS, KNOCKOUT, WAYS


@dataclass(frozen=True)
class Worked:
    """The order of seeds (of a round robin: of the Berger table), and who sits in which group."""

    order: list[str]
    groups: list[list[str]]


def work_out(
    kind: str,
    given: Sequence[str],
    *,
    way: str = "ranking",
    seed: str = "",
    groups: int = 1,
    clubs: Sequence[Sequence[str]] = (),
) -> Worked:
    """Draw. given: numbers of entries, strongest first.

    A round robin and groups: `lots` draws everybody, else the order stands; groups are then made by
    `groups.draw_groups`. A knock-out: `lots` draws everybody; `pots` keeps seeds 1 and 2, and draws 3-4, 5-8,
    9-16 ... among themselves (common practice, no source). clubs: lists of those kept apart, in groups
    as well as may be, in a knock-out in the first round alone. Raises Malformed with the field.
    """
    if way not in WAYS:
        raise Malformed("way", said("one of these is needed here: %(choices)s", choices=", ".join(WAYS)))
    if len(given) < 2:
        raise Malformed("players", said("At least two players are needed."))
    if kind == KNOCKOUT and len(given) > LARGEST:
        raise Malformed("players", said("A knock-out has at most %(most)s players.", most=LARGEST))
    if way != "ranking" and not seed:
        raise Malformed("seed", said("a seed is needed: a text of one line that nobody present chose"))
    order = drawn(seed, given) if way == "lots" else list(given)
    club_of = {number: place for place, club in enumerate(clubs) for number in club}
    if kind == GROUPS:
        made = draw_groups(
            order, groups, way="pots" if way == "pots" else "ranking", seed=seed, clubs=club_of
        )
        if min(len(group) for group in made) < 2:
            raise Malformed("groups", said("A group of one plays nobody. Make fewer groups."))
        return Worked(order, made)
    if kind == KNOCKOUT:
        if way == "pots":
            order = _by_tiers(order, seed)
        order = _apart(order, club_of)
    return Worked(order, [order])


def tiers(count: int) -> list[tuple[int, int]]:
    """Return the seeds that are drawn among themselves, as (from, to): 1, 2, 3-4, 5-8, 9-16 ..."""
    found, low, size = [(1, 1)], 2, 1
    while low <= count:
        found.append((low, min(low + size - 1, count)))
        low, size = low + size, size * 2 if low > 2 else 2
    return found


def _by_tiers(order: Sequence[str], seed: str) -> list[str]:
    return [name for low, high in tiers(len(order)) for name in drawn(seed, order[low - 1 : high])]


def _apart(order: Sequence[str], club_of: Mapping[str, Hashable]) -> list[str]:
    """Return the order in which fewer club-mates meet in the first round.

    From the highest seed down: where an opponent is of the same club, the opponent changes places with
    the next lower seed, else the next higher of the lower half, so that neither pair is of one club.
    """
    found = list(order)
    size = 1 << (len(found) - 1).bit_length()

    def clash(seed: int, name: str) -> bool:
        club = club_of.get(name)
        return club is not None and club == club_of.get(found[size - seed])

    for high in range(1, size // 2 + 1):
        low = size + 1 - high
        if low > len(found) or not clash(low, found[low - 1]):
            continue
        others = [*range(low + 1, len(found) + 1), *range(low - 1, size // 2, -1)]
        for other in others:
            mine, its = found[low - 1], found[other - 1]
            if not clash(low, its) and not clash(other, mine):
                found[low - 1], found[other - 1] = its, mine
                break
    return found


def byes(count: int) -> list[int]:
    """Return the seeds that have a bye in the first round of a knock-out of `count`."""
    size = 1 << (count - 1).bit_length()
    return [seed for seed in sorted(seed_order(size)) if seed <= count < size + 1 - seed]


def digests(seed: str, given: Sequence[str]) -> list[tuple[str, str]]:
    """Return (number, digest) in the order of the digests: how anybody checks what was drawn."""
    return [(name, digest(seed, name)) for name in drawn(seed, given)] if seed else []
