"""Groups: who comes into which, and in what order a group plays.

Groups of three: 2-3, then 1 against the winner, then 1 against the loser (UMB notice of 17 Dec 2019).
The order after a drawn first match and in groups of four is a setting, by Berger unless told otherwise.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .lots import drawn
from .pairings import round_robin
from .said import Malformed, said

# How an entrant comes into a group.
WAYS = ("pots", "ranking")
# After a drawn first match of three, 1 meets 2 or 3 next.
AFTER_DRAW = ("berger", "third-first")
# In a group of four: the Berger table; or winners meet losers, then winners meet (common practice, no source).
ORDERS_OF_FOUR = ("berger", "winners-last")
DRAWN = "drawn"


def group_count(entrants: int, size: int, larger: bool = False) -> int:
    """Return how many groups of `size` are made; where it does not come out, some are one smaller,
    or one larger with `larger`. Raises ValueError for a size below 2."""
    if size < 2:
        raise ValueError(size)
    return max(1, entrants // size) if larger else -(-entrants // size)


def draw_groups(
    ranked: Sequence[str],
    groups: int,
    *,
    way: str = "ranking",
    seed: str = "",
    clubs: Mapping[str, Hashable] | None = None,
) -> list[list[str]]:
    """Return the groups, each in the order of its seats; sizes differ by one at most.

    ranked: names, strongest first; every `groups` of them are one pot, and a pot sends one to each
    group. By `ranking` they go out and back: 1, 2, 3, 4, then 4, 3, 2, 1 (common practice, no source). By
    `pots` each pot goes to groups 1, 2, 3 ... in the order that `lots.drawn` gives with the seed.

    clubs: whose members are kept apart. Each entrant in turn takes the first group, in that order, that
    has nobody of the pot and nobody of the club yet. Where there is none, let A be the first group
    without anybody of the pot, and B the first without anybody of the club: who sits in B for the pot
    moves to A, the club-mate found there moves to B, whoever of that one's pot sits there moves to A, and
    so on along the chain; then B is free. This always ends well: König's theorem (1916) on colouring the
    lines of a bipartite graph. Of a club with more members than groups the first so many count
    as one club, the next so many as another, so no group gets two more of a club than another.
    Raises Malformed for fewer entrants than groups, a name twice, no seed where one is drawn with.
    """
    if groups < 1 or len(ranked) < groups:
        raise Malformed("groups", said("there are fewer players than groups"))
    if way not in WAYS:
        raise Malformed("way", said("one of these is needed here: %(choices)s", choices=", ".join(WAYS)))
    if len(set(ranked)) < len(ranked):
        raise Malformed("ranked", said("two of these names are the same: add what tells them apart"))
    seating = _Seating(groups)
    for pot, start in enumerate(range(0, len(ranked), groups)):
        names = list(ranked[start : start + groups])
        wanted = list(range(groups))
        if way == "pots":
            names = drawn(seed, names)
        elif pot % 2:
            wanted.reverse()
        for name in names:
            seating.seat(name, pot, (clubs or {}).get(name), wanted)
    return seating.groups()


class _Seating:
    """Who sits where, by pot and by club, with the exchange that makes room."""

    def __init__(self, groups: int) -> None:
        self.count = groups
        self.members: dict[Any, int] = {}
        # (kind, which) -> group -> name; each entrant stands under its pot and under its club.
        self.seats: dict[tuple[str, Any], dict[int, str]] = {}
        self.ends: dict[str, tuple[tuple[str, Any], tuple[str, Any]]] = {}

    def seat(self, name: str, pot: int, club: Any, wanted: list[int]) -> None:
        """Give one entrant a group."""
        if club is None:
            club_end: tuple[str, Any] = ("alone", name)
        else:
            already = self.members.get(club, 0)
            self.members[club] = already + 1
            club_end = ("club", (club, already // self.count))
        ends = (("pot", pot), club_end)
        in_pot, in_club = (self.seats.setdefault(end, {}) for end in ends)
        free = [group for group in wanted if group not in in_pot and group not in in_club]
        if free:
            group = free[0]
        else:
            without_pot = next(group for group in wanted if group not in in_pot)
            group = next(group for group in wanted if group not in in_club)
            self._exchange(ends[0], group, without_pot)
        self.ends[name] = ends
        in_pot[group] = in_club[group] = name

    def _exchange(self, end: tuple[str, Any], group: int, other: int) -> None:
        """Free `group` at `end`: whoever sits there goes to `other`, and so on along the chain."""
        chain = []
        while (name := self.seats[end].get(group)) is not None:
            chain.append((name, group, other))
            pot, club = self.ends[name]
            end = club if end == pot else pot
            group, other = other, group
        for name, old, _ in chain:
            for end in self.ends[name]:
                del self.seats[end][old]
        for name, _, new in chain:
            for end in self.ends[name]:
                self.seats[end][new] = name

    def groups(self) -> list[list[str]]:
        """Return the groups, each in the order of the pots."""
        pots = [self.seats[end] for end in self.seats if end[0] == "pot"]
        return [[pot[group] for pot in pots if group in pot] for group in range(self.count)]


@dataclass(frozen=True)
class After:
    """A seat that a match of the group decides: its winner or its loser. match: counted from 0."""

    match: int
    winner: bool


@dataclass(frozen=True)
class GroupMatch:
    """A match of a group, and in which round. first starts, where both are known; an After is open."""

    round: int
    first: Any
    second: Any


def group_matches(
    seats: Sequence[Any],
    results: Sequence[Any] = (),
    *,
    double: bool = False,
    after_draw: str = "berger",
    order_of_four: str = "berger",
) -> list[GroupMatch]:
    """Return the matches of a group in the order they are played.

    seats: those who play, in the order of the draw. A group of four of which one never came is asked for
    with the three who are there, and plays as a group of three without a new draw. Who leaves after
    having played stays in `seats`: standings.with_withdrawn says what becomes of the matches.
    results: of the matches in that order, as far as known: the winner's key, DRAWN, or None.
    A pair starts the same way in every order, by its Berger table, so that starts stay balanced.
    Raises ValueError for an unknown order, or a winner who did not play that match.
    """
    if after_draw not in AFTER_DRAW or order_of_four not in ORDERS_OF_FOUR:
        raise ValueError(after_draw, order_of_four)
    if double or len(seats) not in (3, 4) or (len(seats) == 4 and order_of_four == "berger"):
        return [
            GroupMatch(number, *pair)
            for number, one in enumerate(round_robin(seats, double), 1)
            for pair in one.pairs
        ]
    if len(seats) == 3:
        return _three(seats, results, after_draw)
    return _four(seats, results)


def _three(seats: Sequence[Any], results: Sequence[Any], after_draw: str) -> list[GroupMatch]:
    one, two, three = seats
    winner = _winner(results, 0, (two, three))
    if winner is None:
        return [
            GroupMatch(1, two, three),
            GroupMatch(2, one, After(0, winner=True)),
            GroupMatch(3, one, After(0, winner=False)),
        ]
    first_drawn = two if after_draw == "berger" else three
    then = first_drawn if winner == DRAWN else winner
    meeting = {two: (one, two), three: (three, one)}
    last = three if then == two else two
    return [GroupMatch(1, two, three), GroupMatch(2, *meeting[then]), GroupMatch(3, *meeting[last])]


def _four(seats: Sequence[Any], results: Sequence[Any]) -> list[GroupMatch]:
    table = [pair for one in round_robin(seats) for pair in one.pairs]
    upper, lower = table[:2]
    first = [GroupMatch(1, *upper), GroupMatch(1, *lower)]
    winners = [_winner(results, 0, upper), _winner(results, 1, lower)]
    if DRAWN in winners:
        return [GroupMatch(place // 2 + 1, *pair) for place, pair in enumerate(table)]
    if None in winners:
        upper_seats, lower_seats = ([After(match, True), After(match, False)] for match in (0, 1))
        pairs = _crossed(upper_seats, lower_seats)
    else:
        starts = {frozenset(pair): pair for pair in table}
        both = [
            [winner, next(key for key in pair if key != winner)]
            for winner, pair in zip(winners, (upper, lower), strict=True)
        ]
        pairs = [starts[frozenset(pair)] for pair in _crossed(*both)]
    return first + [GroupMatch(place // 2 + 2, *pair) for place, pair in enumerate(pairs)]


def _crossed(upper: list[Any], lower: list[Any]) -> list[tuple[Any, Any]]:
    return [(upper[0], lower[1]), (lower[0], upper[1]), (upper[0], lower[0]), (upper[1], lower[1])]


def _winner(results: Sequence[Any], match: int, pair: tuple[Any, Any]) -> Any:
    winner = results[match] if match < len(results) else None
    if winner is not None and winner != DRAWN and winner not in pair:
        raise ValueError(winner)
    return winner
