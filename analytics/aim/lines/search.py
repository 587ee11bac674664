"""The one door to lines: a layout in, its lines out, the likeliest first.

The same question has the same answer, whatever the machine and its threads; the lines of a
mirrored layout are the mirrored lines. Budgets are counted in strokes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from analytics.table.parameters import COARSE, FINE, TableParameters
from analytics.table.shots import Strike
from scoring.rules.disciplines import DISCIPLINES, Discipline

from .climbing import CHOOSE, RANK, Plans, apart, best_of_groups, climb, tried
from .errors import LEAST_SPREAD, MOST_SPREAD
from .exploring import explore, members
from .judging import Game
from .measuring import measured
from .mirror import Mirror, first_image
from .telling import Line, told

MOST_LINES = 20
# Groups beyond those asked for that are still in the race when lines are chosen.
SPARE = 4


@dataclass(frozen=True)
class Budget:
    """How much is searched, in strokes.

    explored : strokes all over. members : of each group that are ranked, by `ranked` errors each.
    seeds : of each group that climb, through `rounds` of so many errors. kept : of a group, and
    groups, that are followed after two rounds. chosen : errors that choose a group's line.
    fresh : errors by which shown lines are measured. whole : nothing was left out.
    """

    explored: int
    members: int
    ranked: int
    seeds: int
    rounds: tuple[int, ...]
    kept: tuple[int, int]
    chosen: int
    fresh: int = 1024
    whole: bool = True


FIRST = Budget(12288, 6, 8, 2, (16, 32), (1, 10), 64, 256, whole=False)
FULL = Budget(49152, 16, 16, 4, (32, 32, 64), (2, 30), 256)


@dataclass(frozen=True)
class Found:
    """Lines, the likeliest first; strokes played in all; whether the budget was played to its end."""

    lines: tuple[Line, ...]
    searched: int
    complete: bool


def find_lines(
    layout: Mapping[str, Sequence[float]],
    cue_ball: str,
    *,
    spread: float = 1.0,
    limit: int = 10,
    table: TableParameters | None = None,
    discipline: Discipline | None = None,
    budget: Budget = FULL,
    threads: int | None = None,
    progress: Callable[[str, int], None] | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> Found:
    """Find the distinct ways to make the point.

    Parameters
    ----------
    layout : ball centres [diamonds]. spread : 0.2 to 5, of the execution error. limit : lines.
    progress : is told the stage that begins (explore, rank, climb, choose, measure, done) and
    the strokes played so far. stopped : asked now and then; once it says so, what was found is
    measured and answered as not complete.

    Raises Malformed as `play_stroke` does; ValueError for a spread or limit out of bounds.
    """
    if not LEAST_SPREAD <= spread <= MOST_SPREAD or not 1 <= limit <= MOST_LINES:
        raise ValueError("spread or limit out of bounds")
    table, discipline = table or TableParameters(), discipline or DISCIPLINES["three-cushion"]
    asked = Game(layout, cue_ball, discipline, table, threads)
    mirror = first_image(layout, cue_ball)
    game = Game(mirror.layout(layout), cue_ball, discipline, table, threads)
    say = progress or (lambda stage, played: None)
    plans = _plans(game, spread, budget, limit, say, stopped)
    complete = budget.whole and not stopped()
    say("measure", game.played)
    lines = []
    for row in best_of_groups(plans, 1, limit):
        line = _line(asked, game, mirror, plans.strikes[row], spread, budget.fresh)
        if line is not None:
            lines.append(line)
    lines.sort(key=lambda line: -line.measured.success)
    searched = game.played + asked.played
    say("done", searched)
    return Found(tuple(lines), searched, complete)


def _plans(
    game: Game,
    spread: float,
    budget: Budget,
    limit: int,
    say: Callable[[str, int], None],
    stopped: Callable[[], bool],
) -> Plans:
    """Explore, rank, climb and choose: return plans with their success under errors that chose them."""
    # Coarse cushions show where the lines are; what is chosen and told is played in full.
    game.fineness = COARSE
    say("explore", 0)
    explored = explore(game, budget.explored, spread)
    say("rank", game.played)
    chosen = explored.strikes[members(explored, budget.members)]
    plans = tried(game, chosen, budget.ranked, RANK, spread)
    plans = plans.taken(apart(plans, spread, budget.seeds))
    say("climb", game.played)
    plans = climb(game, plans, spread, budget.rounds, budget.kept, stopped)
    game.fineness = FINE
    if not stopped():
        say("choose", game.played)
        # Whoever is far behind now is not among the best of many errors.
        plans = plans.taken(best_of_groups(plans, budget.kept[0], limit + SPARE))
        plans = tried(game, plans.strikes, budget.chosen, CHOOSE, spread)
    return plans


def _line(
    asked: Game, game: Game, mirror: Mirror, plan: np.ndarray, spread: float, fresh: int
) -> Line | None:
    """Return a plan as a line of the layout that was asked about; None if it makes no point there."""
    direction, speed, side, height = mirror.strikes(plan).tolist()
    strike = Strike(direction % 360, speed, side, height)
    shot = asked.shot(np.array([strike.direction, speed, side, height]))
    made, group = asked.rules([one.contact for one in shot.contacts])
    if not made or group is None:
        return None
    x, y = asked.layout[group.first_ball]
    found = measured(game, plan, spread, fresh)
    return told(group, strike, shot, asked.cue_ball, (x, y), asked.table, found)
