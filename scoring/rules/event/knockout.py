"""A knock-out as its matches have it: who stands where, and what a late correction would change.

Once a match has begun, who plays in it is no longer changed by a correction further up: the bracket
holds, says that it does, and lets the correction through when an organiser unlocks it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.rules.brackets import READY, Bracket, Standing, Tie, stand


@dataclass(frozen=True)
class Played:
    """A match of a tie. decided: its result is confirmed and says who goes on, or that nobody does."""

    id: int
    pair: frozenset[Any]
    begun: bool = False
    decided: bool = False
    winner: Any = None


@dataclass(frozen=True)
class Resolved:
    """ties: as they stand. held: numbers of ties whose corrected result waits for an unlocking.

    disturbed: ids of begun matches that others would play once it was let through.
    """

    ties: tuple[Standing, ...]
    held: tuple[int, ...]
    disturbed: tuple[int, ...]
    matches: Mapping[int, Played]


def resolve(
    drawn: Bracket,
    played: Mapping[int, Iterable[Played]],
    out: Collection[Any] = (),
    aside: Collection[int] = (),
) -> Resolved:
    """Return the bracket as its matches have it.

    played: matches by number of tie. out: who has left; where one of two has, and their match has not
    begun, the other goes on without it. aside: ids of matches that no longer hold who plays in them.
    """
    desk = _Desk(drawn, {number: list(some) for number, some in played.items()}, out, frozenset(aside))
    winners, held = desk.winners(frozenset())
    ties = stand(drawn, winners)
    disturbed: list[int] = []
    if held:
        freed, _none = desk.winners(frozenset(held))
        for one in stand(drawn, freed):
            disturbed += [
                match.id for match in desk.holding(one.tie) if match.pair != frozenset(one.sides) - {None}
            ]
    fitting = {one.tie.number: desk.fitting(one) for one in ties}
    matches = {number: match for number, match in fitting.items() if match is not None}
    return Resolved(tuple(ties), tuple(held), tuple(sorted(disturbed)), matches)


class _Desk:
    """Works out who goes on, round by round."""

    def __init__(
        self, drawn: Bracket, played: Mapping[int, list[Played]], out: Collection[Any], aside: frozenset[int]
    ) -> None:
        self.drawn, self.played, self.out, self.aside = drawn, played, out, aside
        self.next: dict[int, list[tuple[Tie, bool]]] = {}
        for tie in drawn.ties:
            for feed in tie.feeds:
                if feed.match is not None:
                    self.next.setdefault(feed.match, []).append((tie, feed.winner))

    def holding(self, tie: Tie) -> list[Played]:
        """Return the matches that hold who plays in a tie: begun, and not set aside."""
        return [one for one in self.played.get(tie.number, ()) if one.begun and one.id not in self.aside]

    def fitting(self, one: Standing) -> Played | None:
        """Return the match of those who stand in a tie, one that has begun before one that has not."""
        pair = frozenset(one.sides)
        fit = [match for match in self.played.get(one.tie.number, ()) if match.pair == pair]
        return max(fit, key=lambda match: (match.begun, -match.id), default=None)

    def winners(self, released: frozenset[int]) -> tuple[dict[int, Any], list[int]]:
        """Return who goes on by number of tie, and the ties where the bracket holds against the result."""
        winners: dict[int, Any] = {}
        held = []
        for level in range(1, self.drawn.rounds + 1):
            for one in stand(self.drawn, winners):
                if one.tie.round != level or one.state != READY:
                    continue
                known, winner = self._result(one)
                keeps = None if one.tie.number in released else self._held(one)
                if keeps is not None:
                    if known and winner != keeps:
                        held.append(one.tie.number)
                    known, winner = True, keeps
                if known:
                    winners[one.tie.number] = winner
        return winners, held

    def _result(self, one: Standing) -> tuple[bool, Any]:
        match = self.fitting(one)
        if match is not None and match.decided:
            return True, match.winner
        gone = [side for side in one.sides if side in self.out]
        if gone and (match is None or not match.begun):
            return True, next((side for side in one.sides if side not in gone), None)
        return False, None

    def _held(self, one: Standing) -> Any:
        """Return who went on by the matches further down that have begun."""
        match = self.fitting(one)
        if (match is None or not match.begun) and not any(side in self.out for side in one.sides):
            return None
        for tie, as_winner in self.next.get(one.tie.number, ()):
            for later in self.holding(tie):
                there = [side for side in one.sides if side in later.pair]
                if len(there) == 1:
                    return there[0] if as_winner else next(side for side in one.sides if side != there[0])
        return None
