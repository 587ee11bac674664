"""Knock-out: a bracket as data, who meets whom after results, and what a correction would change.

Standard seeding (common practice, no source): the strongest meet as late as the numbers allow, 1 and 2
in the final. Byes go to the highest seeds, because nobody stands at the lowest numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .said import Said, said

LARGEST = 128


def seed_order(size: int) -> list[int]:
    """Return the seeds from top to bottom of a bracket of `size` places, a power of two up to 128.

    Every seed s of the bracket half as large is followed by size + 1 - s. Raises ValueError else.
    """
    if size not in (1, 2, 4, 8, 16, 32, 64, LARGEST):
        raise ValueError(size)
    order = [1]
    while len(order) < size:
        total = 2 * len(order) + 1
        order = [seed for one in order for seed in (one, total - one)]
    return order


@dataclass(frozen=True)
class Feed:
    """Where one who plays comes from: a seed (1 is the highest), or the winner or loser of a match."""

    seed: int | None = None
    match: int | None = None
    winner: bool = True


@dataclass(frozen=True)
class Tie:
    """A place in the bracket. number: from 1 on, round by round from top to bottom.

    round counts from 1; position from 1 at the top of its round; third: the match for third place.
    A tie with a bye is one too, and no match is played in it.
    """

    number: int
    round: int
    position: int
    feeds: tuple[Feed, Feed]
    third: bool = False


@dataclass(frozen=True)
class Bracket:
    """A drawn knock-out. entrants: keys in the order of seeds, None where one stays empty."""

    entrants: tuple[Any, ...]
    size: int
    ties: tuple[Tie, ...]

    @property
    def rounds(self) -> int:
        return self.size.bit_length() - 1


def bracket(entrants: Sequence[Any], third_place: bool = False) -> Bracket:
    """Draw the bracket for entrants in the order of seeds.

    Raises ValueError for fewer than two or more than 128 of them, or one who comes twice.
    """
    if not 2 <= len(entrants) <= LARGEST or len(set(entrants)) < len(entrants):
        raise ValueError(len(entrants))
    size = 1 << (len(entrants) - 1).bit_length()
    feeds = [Feed(seed=seed) for seed in seed_order(size)]
    ties: list[Tie] = []
    number = 0
    while len(feeds) > 1:
        level = number + 1
        pairs = list(zip(feeds[::2], feeds[1::2], strict=True))
        first = len(ties) + 1
        ties += [Tie(first + place, level, place + 1, pair) for place, pair in enumerate(pairs)]
        feeds = [Feed(match=first + place) for place in range(len(pairs))]
        number = level
    if third_place and size >= 4:
        losers = (Feed(match=len(ties) - 2, winner=False), Feed(match=len(ties) - 1, winner=False))
        # Before the final in order of play, after it in number: a bracket without it numbers the same.
        ties.append(Tie(len(ties) + 1, ties[-1].round, 2, losers, third=True))
    return Bracket(tuple(entrants), size, tuple(ties))


OPEN = "open"
READY = "ready"
DONE = "done"
BYE = "bye"
EMPTY = "empty"


@dataclass(frozen=True)
class Standing:
    """A tie as results have it. sides: keys, None where nobody stands or it is not known yet.

    state: open (one or both not known), ready, done, bye (one went on without a match), empty.
    """

    tie: Tie
    sides: tuple[Any, Any]
    state: str
    winner: Any = None


def stand(drawn: Bracket, winners: Mapping[int, Any]) -> list[Standing]:
    """Return every tie with those who stand in it.

    winners: who went on, by number of tie; None where nobody did (both were absent, say), whose
    opponent in the next round has a bye. Nobody can be told to win a bye. Raises ValueError for a winner
    who does not stand there, or a result where the two are not known.
    """
    standing: dict[int, Standing] = {}
    for tie in drawn.ties:
        sides, known = [], []
        for feed in tie.feeds:
            key, sure = _fed(drawn, standing, feed)
            sides.append(key)
            known.append(sure)
        pair = (sides[0], sides[1])
        standing[tie.number] = _judge(tie, pair, all(known), winners)
    for number in winners:
        if standing.get(number) is None or standing[number].state != DONE:
            raise ValueError(number)
    return list(standing.values())


def _fed(drawn: Bracket, standing: Mapping[int, Standing], feed: Feed) -> tuple[Any, bool]:
    """Return who comes out of a feed, and whether that is settled."""
    if feed.match is None:
        seed = feed.seed or 0
        return (drawn.entrants[seed - 1] if seed <= len(drawn.entrants) else None), True
    before = standing[feed.match]
    if before.state in (OPEN, READY):
        return None, False
    if feed.winner:
        return before.winner, True
    if before.state != DONE or before.winner is None:
        return None, True
    return next(key for key in before.sides if key != before.winner), True


def _judge(tie: Tie, sides: tuple[Any, Any], known: bool, winners: Mapping[int, Any]) -> Standing:
    there = [key for key in sides if key is not None]
    if not known:
        return Standing(tie, sides, OPEN)
    if len(there) < 2:
        return Standing(tie, sides, BYE if there else EMPTY, there[0] if there else None)
    if tie.number not in winners:
        return Standing(tie, sides, READY)
    winner = winners[tie.number]
    if winner is not None and winner not in sides:
        raise ValueError(tie.number)
    return Standing(tie, sides, DONE, winner)


def round_pairs(drawn: Bracket) -> list[tuple[Any, Any]]:
    """Return the pairs of the first round from top to bottom; None beside who has a bye."""
    return [one.sides for one in stand(drawn, {}) if one.tie.round == 1 and not one.tie.third]


def places(drawn: Bracket, winners: Mapping[int, Any]) -> dict[Any, tuple[int, int]]:
    """Return the place of everybody whose place is settled, as (from, to): (5, 8) is shared by four.

    Who loses in a round shares the places below those who went on; third place is shared
    unless it is played for. Whoever leaves with nobody going on has the place of a loser.
    """
    found: dict[Any, tuple[int, int]] = {}
    played_for_third = any(tie.third for tie in drawn.ties)
    for one in stand(drawn, winners):
        if one.state not in (DONE, BYE):
            continue
        last = one.tie.round == drawn.rounds
        left = 1 << (drawn.rounds - one.tie.round)
        won, lost = ((3, 3), (4, 4)) if one.tie.third else ((1, 1), (left + 1, 2 * left))
        plays_on = played_for_third and one.tie.round == drawn.rounds - 1 and one.winner is not None
        for key in one.sides:
            if key is None:
                continue
            if key == one.winner:
                found |= {key: won} if last else {}
            elif not plays_on:
                found[key] = lost
    return found


def is_locked(started: Iterable[int]) -> bool:
    """Return whether the draw is closed: it is from the start of the first match on."""
    return any(True for _ in started)


def disturbed(
    drawn: Bracket, before: Mapping[int, Any], after: Mapping[int, Any], started: Iterable[int]
) -> tuple[int, ...]:
    """Return the numbers of started matches in which others would stand once `after` held.

    A result that is corrected so that nobody further on changes disturbs nothing. Results of
    disturbed matches, and of those that hang on them, are left aside: they were played by others.
    """
    then = {one.tie.number: frozenset(one.sides) for one in stand(drawn, before)}
    kept = dict(after)
    while True:
        try:
            now = {one.tie.number: frozenset(one.sides) for one in stand(drawn, kept)}
            break
        except ValueError as refused:
            del kept[refused.args[0]]
    return tuple(number for number in sorted(set(started)) if now[number] != then[number])


def why_locked(numbers: Sequence[int]) -> Said:
    """Return what an organiser reads before unlocking for a correction."""
    return said(
        "This would change who plays in matches that have begun (%(numbers)s)."
        " Unlock the bracket first; everybody will see that it was unlocked.",
        numbers=", ".join(str(number) for number in numbers),
    )
