"""What a match's story is made of: sets, places, innings, spells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Any

from scoring.rules.match.colours import COLOURS
from scoring.rules.said import Said, said


@dataclass(frozen=True)
class Block:
    """A set, a match without sets, or its extra innings: the runs of both players in order.

    runs : of the first and the second player as they are named. starter : 0 or 1, who began.
    """

    runs: tuple[Sequence[int], Sequence[int]]
    starter: int = 0
    extra: bool = False


def blocks_of(innings: Iterable[Mapping[str, Any]]) -> list[Block]:
    """Return the blocks of a match from its innings as `scoring.rules.match.shown.innings_of` lists them.

    The first player is who has white. What does not count is left out.
    """
    counted = (row for row in innings if row["counts"])
    blocks = []
    for (extra, _), group in groupby(counted, key=lambda row: (row["extra"], row["set"])):
        rows = list(group)
        white, yellow = ([row["run"] for row in rows if row["colour"] == one] for one in COLOURS)
        blocks.append(Block((white, yellow), COLOURS.index(rows[0]["colour"]), extra))
    return blocks


@dataclass(frozen=True)
class Place:
    """An inning: its set, from 1, and its number in it; `sets`: the match had several."""

    set: int
    inning: int
    extra: bool = False
    sets: bool = False

    @property
    def said(self) -> Said:
        if self.extra:
            return said("extra inning %(inning)s", inning=self.inning)
        if self.sets:
            return said("inning %(inning)s of set %(set)s", inning=self.inning, set=self.set)
        return said("inning %(inning)s", inning=self.inning)


@dataclass(frozen=True)
class Step:
    """One player's inning, and the first player's chance before and after it; a draw counts half."""

    place: Place
    player: int
    run: int
    before: float
    after: float

    @property
    def moved(self) -> float:
        return self.after - self.before


@dataclass(frozen=True)
class Spell:
    """Innings of one player without a point, one after another within a set."""

    player: int
    first: Place
    last: Place

    @property
    def innings(self) -> int:
        return self.last.inning - self.first.inning + 1


@dataclass(frozen=True)
class Furthest:
    """Where a player was furthest ahead: by points, or by a share of the distance where those differ."""

    player: int
    place: Place
    ahead: Fraction
    shares: bool


@dataclass(frozen=True)
class Story:
    """What a match was like.

    chances, low, high : the first player's chance before the match and after each inning of both;
    low and high are None where the success rates were taken at their word. leads : points ahead of
    the first player after each inning of both, within its set. changes : how often another player
    took the lead. by_shares : the lead is told in shares of the own distance, as those differ.
    furthest, dry : of each player, None where there was none. turn : the step that moved the chance
    most. sentences : the same in words.
    """

    steps: tuple[Step, ...]
    chances: tuple[float, ...]
    low: tuple[float, ...] | None
    high: tuple[float, ...] | None
    leads: tuple[int, ...]
    changes: int
    furthest: tuple[Furthest | None, Furthest | None]
    dry: tuple[Spell | None, Spell | None]
    turn: Step | None
    sentences: tuple[Said, ...]
    by_shares: bool = False
