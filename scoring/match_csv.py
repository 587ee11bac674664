"""The confirmed matches of a competition as a federation wants them: which columns, under which heads."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from scoring.models import Competition, ExternalNumber, Match, MatchProjection, Player
from scoring.rules.said import Said, said

SEPARATORS = {"semicolon": ";", "comma": ",", "tab": "\t"}
MARKS = {"comma": ",", "point": "."}
# Spreadsheets take these for the beginning of a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Side:
    """One player of a match: the record it is read as, the federation's number, and the figures."""

    player: Player
    number: str
    figures: Any
    distance: int | None


@dataclass(frozen=True)
class Line:
    """A match to be written."""

    match: Match
    sides: tuple[Side, Side]
    mark: str

    @property
    def is_result_only(self) -> bool:
        state = self.match.projection.state
        return state.get("ended_by") == "played" and not state.get("rows")


Cell = Callable[[Line], Any]


def _day(line: Line) -> str:
    moment = line.match.projection.started_at or line.match.created_at
    return timezone.localtime(moment).date().isoformat()


def _average(line: Line, place: int) -> str:
    figures = line.sides[place].figures
    return "" if figures is None else (figures.average_text or "").replace(".", line.mark)


def _of(place: int, name: str) -> Cell:
    return lambda line: "" if line.sides[place].figures is None else getattr(line.sides[place].figures, name)


def _innings(place: int) -> Cell:
    # Nothing is better than a nought where the innings are not known.
    return lambda line: _of(place, "innings")(line) or ""


def _won(line: Line) -> str:
    winner = line.match.projection.winner_id
    entrants = line.match.entrant_ids
    return "" if winner is None else str(1 + entrants.index(winner))


COLUMNS: Mapping[str, tuple[Said, Cell]] = {
    "date": (said("day"), _day),
    "match": (said("match"), lambda line: line.match.pk),
    "discipline": (said("discipline"), lambda line: line.match.discipline_code),
    "group": (said("group"), lambda line: line.match.group.name if line.match.group else ""),
    "player_1": (said("first player"), lambda line: line.sides[0].player.full_name),
    "number_1": (said("number of the first"), lambda line: line.sides[0].number),
    "distance_1": (said("distance of the first"), lambda line: line.sides[0].distance or ""),
    "points_1": (said("points of the first"), _of(0, "score")),
    "innings_1": (said("innings of the first"), _innings(0)),
    "high_run_1": (said("high run of the first"), _of(0, "high_run")),
    "average_1": (said("average of the first"), lambda line: _average(line, 0)),
    "player_2": (said("second player"), lambda line: line.sides[1].player.full_name),
    "number_2": (said("number of the second"), lambda line: line.sides[1].number),
    "distance_2": (said("distance of the second"), lambda line: line.sides[1].distance or ""),
    "points_2": (said("points of the second"), _of(1, "score")),
    "innings_2": (said("innings of the second"), _innings(1)),
    "high_run_2": (said("high run of the second"), _of(1, "high_run")),
    "average_2": (said("average of the second"), lambda line: _average(line, 1)),
    "won": (said("who won, 1 or 2"), _won),
    "ended": (said("how it ended"), lambda line: line.match.projection.state.get("ended_by") or ""),
    "known": (said("innings or result only"), lambda line: "result" if line.is_result_only else "innings"),
}


@dataclass(frozen=True)
class Shape:
    """What a file looks like: columns in order, heads by column where they differ, signs, whose numbers."""

    columns: tuple[str, ...] = tuple(COLUMNS)
    heads: Mapping[str, str] | None = None
    separator: str = "semicolon"
    mark: str = "comma"
    issuer: str = ""

    def head(self, name: str) -> str:
        return (self.heads or {}).get(name) or name


def lines_of(competition: Competition, shape: Shape) -> Iterator[Line]:
    """Return the confirmed matches in the order they were played; four queries, however many."""
    matches = (
        Match.objects.filter(
            competition=competition, projection__status=MatchProjection.Status.CONFIRMED
        )
        .select_related(
            "projection", "group", "entrant_a__name", "entrant_b__name",
            "entrant_a__merged_into__name", "entrant_b__merged_into__name",
        )
        .prefetch_related("colour_projections")
        .order_by("projection__started_at", "pk")
    )  # fmt: skip
    numbers: dict[int, str] = {}
    for row in ExternalNumber.objects.filter(issuer=shape.issuer).order_by("pk"):
        numbers.setdefault(row.player_id, row.number)
    for match in matches:
        figures = {one.player_id: one for one in match.colour_projections.all()}
        sides = []
        for player, distance in ((match.entrant_a, match.distance_a), (match.entrant_b, match.distance_b)):
            whole = player.merged_into or player
            number = numbers.get(whole.pk, numbers.get(player.pk, ""))
            sides.append(Side(whole, number, figures.get(player.pk), distance))
        yield Line(match, (sides[0], sides[1]), MARKS[shape.mark])


def write_csv(competition: Competition, shape: Shape) -> str:
    """Return the file."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=SEPARATORS[shape.separator], lineterminator="\r\n")
    writer.writerow(_row([shape.head(name) for name in shape.columns]))
    for line in lines_of(competition, shape):
        writer.writerow(_row([COLUMNS[name][1](line) for name in shape.columns]))
    return out.getvalue()


def _row(cells: Sequence[Any]) -> list[str]:
    return [f"'{text}" if (text := str(cell)).startswith(FORMULA) else text for cell in cells]
