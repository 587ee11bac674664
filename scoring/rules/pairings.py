"""Round robins by Berger tables: who meets whom in which round, and who starts.

FIDE Handbook C.05, Annex 1. The first named starts. With an odd number the highest number of the
table is nobody, and whoever meets nobody has a bye.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Key = TypeVar("Key")
Pair = tuple[int, int]


@dataclass(frozen=True)
class Round(Generic[Key]):
    """One round: its pairs, of whom the first starts, and who has a bye (None: nobody)."""

    pairs: tuple[tuple[Key, Key], ...]
    bye: Key | None = None


def berger(count: int) -> list[list[Pair]]:
    """Return the Berger table for an even `count` of numbers, 1 to count, as rounds of pairs.

    In round r the highest number meets the pivot, and two others meet when their numbers lie equally
    far from it to both sides, counted round the remaining numbers. Odd rounds let the pivot start
    (1, 2, 3 ...), even rounds the highest number. Raises ValueError unless count is even and above 0.
    """
    if count < 2 or count % 2:
        raise ValueError(count)
    ring = count - 1
    rounds = []
    for number in range(1, count):
        odd = number % 2
        pivot = (number + 1) // 2 if odd else (count + number) // 2
        pairs = [(pivot, count) if odd else (count, pivot)]
        for step in range(1, count // 2):
            pairs.append(((pivot + step - 1) % ring + 1, (pivot - step - 1) % ring + 1))
        rounds.append(pairs)
    return rounds


def round_robin(entrants: Sequence[Key], double: bool = False) -> list[Round[Key]]:
    """Return the rounds in which everybody meets everybody once, or twice with the starts exchanged.

    entrants in the order of their numbers. Starts are balanced within one in a single round robin,
    equal in a double one. One entrant or none: no rounds.
    """
    if len(entrants) < 2:
        return []
    numbers = len(entrants) + len(entrants) % 2
    rounds: list[Round[Key]] = []
    for table in berger(numbers):
        pairs, bye = [], None
        for first, second in table:
            if max(first, second) > len(entrants):
                bye = entrants[min(first, second) - 1]
            else:
                pairs.append((entrants[first - 1], entrants[second - 1]))
        rounds.append(Round(tuple(pairs), bye))
    if double:
        rounds += [Round(tuple((second, first) for first, second in one.pairs), one.bye) for one in rounds]
    return rounds


def match_count(entrants: int, double: bool = False) -> int:
    """Return n(n-1)/2, twice that for a double round robin (Garno, *Modern Billiards*)."""
    return entrants * (entrants - 1) // (1 if double else 2)
