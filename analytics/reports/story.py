"""One match's story out of both players' runs: the lead, dry spells, and where it turned.

The chance to win after each inning is that of the race from its score; what was known of the players
stays as it was before the match, so that every move comes from the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby

from .forecasts import Knowledge, forecast
from .race_formats import match, shoot_out
from .races import START, Rules, Score, race
from .story_parts import Block, Furthest, Place, Spell, Step, Story
from .story_words import Name, sentences

# Averages that stand for each player while a match is followed inning by inning.
POINTS = 16

Known = float | Knowledge


def story(
    blocks: Sequence[Block],
    rules: Rules,
    known: tuple[Known, Known],
    names: tuple[Name, Name],
    opening: tuple[float | None, float | None] = (None, None),
) -> Story:
    """Return a match's story.

    blocks : sets in order, then extra innings. rules : distances in the order of the players named.
    known : success rates, or what was known of them, before the match. opening : success of an
    opening stroke. Raises ValueError without an inning, for rates outside 0 to 1, or more sets than
    the match could have.
    """
    if not any(len(runs) for block in blocks for runs in block.runs):
        raise ValueError("a match without an inning has no story")
    track = _Track(blocks, rules, known, opening)
    steps, rounds = track.follow()
    ahead = [(place, lead) for place, lead, _ in rounds]
    furthest = _furthest(ahead, 0, track.shares), _furthest(ahead, 1, track.shares)
    dry = _driest(steps, 0), _driest(steps, 1)
    turn = max(steps, key=lambda step: abs(step.moved))
    changes, leader = _changes(ahead)
    ranges = [told for _, _, told in rounds]
    ranged = isinstance(known[0], Knowledge) or isinstance(known[1], Knowledge)
    found = Story(
        tuple(steps),
        tuple(told[0] for told in (track.start, *ranges)),
        tuple(told[1] for told in (track.start, *ranges)) if ranged else None,
        tuple(told[2] for told in (track.start, *ranges)) if ranged else None,
        tuple(track.leads),
        changes,
        furthest,
        dry,
        turn,
        (),
        by_shares=track.shares,
    )
    return replace(found, sentences=tuple(sentences(found, leader, names)))


Told = tuple[float, float, float]


class _Track:
    """Follows a match inning by inning and asks for the chance after each."""

    def __init__(
        self,
        blocks: Sequence[Block],
        rules: Rules,
        known: tuple[Known, Known],
        opening: tuple[float | None, float | None],
    ) -> None:
        self.blocks, self.rules, self.known, self.opening = blocks, rules, known, opening
        self.several = sum(not block.extra for block in blocks) > 1
        far = rules.distance
        self.shares = far[0] is not None and far[1] is not None and far[0] != far[1]
        self.leads: list[int] = []
        self.start = self.chance(START, blocks[0].starter)

    def follow(self) -> tuple[list[Step], list[tuple[Place, Fraction, Told]]]:
        """Return every step, and for each inning of both its place, the lead, and the chance."""
        steps, rounds = [], []
        sets, told = [0, 0], self.start
        for number, block in enumerate(self.blocks, 1):
            made, score = [0, 0], replace(START, sets=(sets[block.starter], sets[1 - block.starter]))
            for inning in range(max(map(len, block.runs))):
                place = Place(number, inning + 1, block.extra, self.several)
                for turn, player in enumerate((block.starter, 1 - block.starter)):
                    if inning >= len(block.runs[player]):
                        continue
                    run, before = block.runs[player][inning], told[0]
                    made[player] += run
                    score = self.after(block, score, made, turn, inning)
                    told = (
                        self.extra(block, inning, turn) if block.extra else self.chance(score, block.starter)
                    )
                    steps.append(Step(place, player, run, before, told[0]))
                self.leads.append(made[0] - made[1])
                rounds.append((place, self.ahead(made), told))
            if self.rules.sets_to_win is not None and not block.extra:
                self.count(sets, score, block.starter)
        return steps, rounds

    def after(self, block: Block, score: Score, made: list[int], turn: int, inning: int) -> Score:
        """Return the score after an inning, whatever order the sheet was written in."""
        points = made[block.starter], made[1 - block.starter]
        return replace(score, points=points, turn=turn, rounds=inning).missed(self.ordered(block.starter))

    def ordered(self, starter: int) -> Rules:
        return self.rules.turned() if starter else self.rules

    def count(self, sets: list[int], score: Score, starter: int) -> None:
        """Give the set to who won it."""
        found = race((0.5, 0.5), self.ordered(starter), score)
        if found.starter == 1.0:
            sets[starter] += 1
        elif found.second == 1.0:
            sets[1 - starter] += 1

    def ahead(self, made: list[int]) -> Fraction:
        """Return how far the first player is ahead: points, or shares of unlike distances."""
        far = self.rules.distance
        if far[0] is None or far[1] is None or not self.shares:
            return Fraction(made[0] - made[1])
        return Fraction(made[0], far[0]) - Fraction(made[1], far[1])

    def chance(self, score: Score, starter: int) -> Told:
        """Return the first player's chance and its range, equal where nothing is uncertain."""
        rules, order = self.ordered(starter), (starter, 1 - starter)
        first, second = (self.known[player] for player in order)
        opening = self.opening[order[0]], self.opening[order[1]]
        if isinstance(first, float) and isinstance(second, float):
            one = match((first, second), rules, score, opening).even
            told = one, one, one
        else:
            found = forecast(
                _knowledge(first), _knowledge(second), rules, "first", score, opening, points=POINTS
            )
            told = found.mean, found.interval.low, found.interval.high
        return told if starter == 0 else (1.0 - told[0], 1.0 - told[2], 1.0 - told[1])

    def extra(self, block: Block, inning: int, turn: int) -> Told:
        """Return the chance within extra innings; the rates are taken at their word."""
        order = (block.starter, 1 - block.starter)
        p = [_rate(self.known[player]) for player in order]
        opening = self.opening[order[0]], self.opening[order[1]]
        runs = [block.runs[player][inning] for player in order[: turn + 1]]
        if turn == 0:
            told = shoot_out((p[0], p[1]), opening, (runs[0], 0), turn=1)[1]
        elif runs[0] != runs[1]:
            told = float(runs[0] > runs[1])
        else:
            told = shoot_out((p[0], p[1]), opening)[1]
        told = told if block.starter == 0 else 1.0 - told
        return told, told, told


def _rate(known: Known) -> float:
    return known if isinstance(known, float) else known.p


def _knowledge(known: Known) -> Knowledge:
    """Return a rate taken at its word as counts so large that nothing is uncertain."""
    return Knowledge(known * 1e9, (1.0 - known) * 1e9) if isinstance(known, float) else known


def _changes(ahead: Sequence[tuple[Place, Fraction]]) -> tuple[int, int | None]:
    """Return how often another player took the lead, and who led last; levels change nothing."""
    changes, leader = 0, None
    for _, within in groupby(ahead, key=lambda one: one[0].set):
        leader = None
        for _, lead in within:
            if lead != 0:
                now = int(lead < 0)
                changes += leader is not None and leader != now
                leader = now
    return changes, leader


def _furthest(ahead: Sequence[tuple[Place, Fraction]], player: int, shares: bool) -> Furthest | None:
    sign = -1 if player else 1
    place, lead = max(ahead, key=lambda one: sign * one[1])
    return Furthest(player, place, sign * lead, shares) if sign * lead > 0 else None


def _driest(steps: Sequence[Step], player: int) -> Spell | None:
    """Return a player's longest spell without a point, the first of equals."""
    best: Spell | None = None
    own = [step for step in steps if step.player == player]
    for (dry, _), group in groupby(own, key=lambda step: (step.run == 0, step.place.set)):
        places = [step.place for step in group]
        spell = Spell(player, places[0], places[-1])
        if dry and (best is None or spell.innings > best.innings):
            best = spell
    return best
