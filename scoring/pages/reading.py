"""A match as lists and heads show it, from its projections alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from scoring.access import Actor
from scoring.models import ColourProjection, Match, MatchProjection, Player, StrokeProjection

from .words import discipline_name, ended_words, short_name

Status = MatchProjection.Status
UNDER_WAY = (Status.PLAYING, Status.SUSPENDED)
OVER = (Status.OVER, Status.CONFIRMED)


@dataclass
class Side:
    """One of the two players of a match; `colour` is None before the opening."""

    player: Player
    colour: str | None
    name: str
    full_name: str
    distance: int | None
    figures: ColourProjection | None
    on_turn: bool = False
    won: bool = False
    last_five: list[int | None] | None = None

    @property
    def score(self) -> int:
        return self.figures.score if self.figures else 0

    @property
    def average(self) -> str | None:
        return self.figures.average_text if self.figures else None


@dataclass
class Shown:
    """A match for a reader."""

    match: Match
    sides: list[Side]
    status: str
    state_words: str
    discipline: str
    table: str
    flag_count: int
    result_only: bool = False

    @property
    def under_way(self) -> bool:
        return self.status in UNDER_WAY

    @property
    def over(self) -> bool:
        return self.status in OVER

    @property
    def scored(self) -> bool:
        """Whether there are figures to show: not of a walkover, and not before an inning was written."""
        written = any(side.figures is not None and side.figures.innings for side in self.sides)
        return self.under_way or (self.over and (written or self.result_only))

    @property
    def title(self) -> str:
        first, second = self.sides
        return gettext("%(first)s and %(second)s") % {"first": first.name, "second": second.name}


def show_match(match: Match, actor: Actor) -> Shown:
    """Return what a page shows of a match; `colour_projections` should be fetched along."""
    projection = match.projection
    figures = {one.player_id: one for one in match.colour_projections.all() if one.player_id is not None}
    sides = []
    for player, distance in ((match.entrant_a, match.distance_a), (match.entrant_b, match.distance_b)):
        own = figures.get(player.pk)
        colour = own.colour if own else None
        sides.append(
            Side(
                player=player,
                colour=colour,
                name=short_name(player, actor),
                full_name=player.shown_name(actor.names_open),
                distance=distance,
                figures=own,
                on_turn=colour is not None
                and projection.turn == colour
                and projection.status == Status.PLAYING,
                won=projection.winner_id == player.pk,
            )
        )
    sides.sort(key=lambda side: side.colour == "yellow")
    return Shown(
        match=match,
        sides=sides,
        status=projection.status,
        state_words=state_words(projection, sides),
        discipline=discipline_name(match),
        table=match.table_now.name if match.table_now else "",
        flag_count=projection.flag_count,
        result_only=projection.status in OVER and is_result_only(projection),
    )


def state_words(projection: MatchProjection, sides: Iterable[Side]) -> str:
    """Return where a match stands: "inning 14", "over in 27, to be confirmed"."""
    innings = max((side.figures.innings for side in sides if side.figures), default=0)
    ended = ended_words(projection.state.get("ended_by"))
    if projection.status in OVER and is_result_only(projection):
        return only_words(projection, innings)
    if projection.status == Status.PLANNED:
        return gettext("not begun")
    if projection.status == Status.SUSPENDED:
        return gettext("suspended in inning %(inning)s") % {"inning": innings or 1}
    if projection.status == Status.PLAYING and projection.state.get("extra") is not None:
        return gettext("extra innings")
    if projection.status == Status.PLAYING:
        return gettext("inning %(inning)s") % {"inning": inning_under_way(projection) or 1}
    if projection.status == Status.OVER:
        return gettext("over in %(innings)s, to be confirmed") % {"innings": innings}
    return ended or gettext("over in %(innings)s") % {"innings": innings}


def is_result_only(projection: MatchProjection) -> bool:
    """Whether only totals are known: it was written as played, and no inning of it was."""
    return projection.state.get("ended_by") == "played" and not projection.state.get("rows")


def known_sums(match: Match, score: int, points: int, high_run: int) -> tuple[int, int | None]:
    """Return the points and the high run of a side as they are shown; None where no high run is known.

    Points without innings are in no sum and no average: of such a match the score tells them.
    """
    if not is_result_only(match.projection):
        return points, high_run
    made = points if match.format.get("sets_to_win") else max(points, score)
    return made, high_run if high_run or not made else None


def only_words(projection: MatchProjection, innings: int) -> str:
    """Return how a match is listed of which only totals are known."""
    known = gettext("result only, in %(innings)s") % {"innings": innings}
    words = known if innings else gettext("result only, innings unknown")
    if projection.status == Status.CONFIRMED:
        return words
    return gettext("%(words)s, to be confirmed") % {"words": words}


def inning_under_way(projection: MatchProjection) -> int:
    """Return the number of the inning of the player on turn."""
    state, turn = projection.state, projection.turn
    if turn is None or "innings" not in state:
        return 0
    return state["innings"][turn] + (not state["open"][turn])


def inning_runs(matches: Iterable[int]) -> dict[int, dict[str, list[int]]]:
    """Return the runs of both colours, inning after inning, of several matches: one query.

    An inning of strokes is their sum; what does not count is left out, as are extra innings.
    Of sets only the last one is returned: its innings are the ones that make up the score.
    """
    runs: dict[int, dict[tuple[str, int, int], int]] = defaultdict(dict)
    rows = (
        StrokeProjection.objects.filter(match__in=list(matches), counts=True, extra=False)
        .order_by("match", "order")
        .values_list("match_id", "colour", "set_number", "inning", "run")
    )
    for match, colour, set_number, inning, run in rows:
        key = (colour, set_number, inning)
        runs[match][key] = runs[match].get(key, 0) + run
    found: dict[int, dict[str, list[int]]] = {}
    for match, cells in runs.items():
        both: dict[str, list[int]] = {"white": [], "yellow": []}
        last_set = max(set_number for _colour, set_number, _inning in cells)
        for (colour, set_number, _inning), run in cells.items():
            if set_number == last_set:
                both[colour].append(run)
        found[match] = both
    return found


def with_last_five(shown: list[Shown]) -> list[Shown]:
    """Fill in the last five innings of each side, both over the same five innings."""
    runs = inning_runs(one.match.pk for one in shown)
    for one in shown:
        both = runs.get(one.match.pk, {"white": [], "yellow": []})
        last = max(len(both["white"]), len(both["yellow"]))
        begin = max(last - 5, 0)
        for side in one.sides:
            own: list[int | None] = list(both.get(side.colour or "", []))
            own += [None] * (last - len(own))
            side.last_five = own[begin:] + [None] * max(0, 5 - last)
    return shown


def last_rows(one: Shown) -> list[dict[str, Any]]:
    """Return the last five innings of a match with running totals, as its page lists them."""
    both = inning_runs([one.match.pk]).get(one.match.pk, {"white": [], "yellow": []})
    last = max(len(both["white"]), len(both["yellow"]))
    totals = {"white": 0, "yellow": 0}
    rows = []
    for number in range(1, last + 1):
        row: dict[str, Any] = {"inning": number, "fifth": number % 5 == 0}
        for colour in totals:
            run = both[colour][number - 1] if number <= len(both[colour]) else None
            totals[colour] += run or 0
            row[colour] = {"run": run, "total": None if run is None else totals[colour]}
        rows.append(row)
    return rows[-5:]
