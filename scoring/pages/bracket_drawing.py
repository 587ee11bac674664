"""A bracket as a drawing: where each tie, its lines and its names stand, in px.

Names stand on ruled lines, as on a sheet of paper; a stroke to the right joins two ties with the next.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from scoring.rules.brackets import BYE, EMPTY
from scoring.stages import Fixture, StageNow

from .event_words import Named, round_word, side_words

COLUMN = 214
GAP = 36
ROW = 66
HEAD = 40
# Where the two names of a tie stand from its middle: the line of each, the text a little above.
LINE = 14
# A name of more letters is cut: the lists below the drawing have it whole.
LETTERS = 19


@dataclass(frozen=True)
class Side:
    """One name of a tie. known: it is a person, not where one will come from."""

    x: int
    y: int
    text: str
    known: bool
    won: bool
    figure: str
    figure_x: int


@dataclass(frozen=True)
class Drawn:
    """A tie: its sides, the path of its lines, and its number where one stands."""

    number: int
    sides: tuple[Side, Side]
    lines: str
    number_x: int
    middle: int
    held: bool


def drawing(now: StageNow, named: Named) -> dict[str, Any]:
    """Return a bracket's drawing: width, height, heads of the rounds, ties, lines between, the winner."""
    drawn = now.bracket
    fixtures = {one.tie: one for one in now.fixtures}
    assert drawn is not None
    middles: dict[int, int] = {}
    ties: list[Drawn] = []
    joins: list[str] = []
    for tie in drawn.ties:
        x = (tie.round - 1) * (COLUMN + GAP)
        if tie.third:
            middle = middles[tie.number - 1] + 2 * ROW
        elif tie.round == 1:
            middle = HEAD + ROW * (tie.position - 1) + ROW // 2
        else:
            before = [middles[feed.match] for feed in tie.feeds if feed.match is not None]
            middle = sum(before) // 2
            joins += [_join(x, there, middle) for there in before]
        middles[tie.number] = middle
        one = fixtures[tie.number]
        if one.state != EMPTY and not (tie.round == 1 and one.state == BYE):
            ties.append(_tie(one, x, middle, named))
        elif one.state == BYE:
            ties.append(_bye(one, x, middle, named))
    champion = next((one for one in now.fixtures if one.round == drawn.rounds and not one.third), None)
    right = drawn.rounds * (COLUMN + GAP)
    height = max(middle + ROW // 2 + 8 for middle in middles.values())
    return {
        "width": right + COLUMN,
        "height": height,
        "heads": [
            {"x": (number - 1) * (COLUMN + GAP), "word": round_word(number, drawn.rounds)}
            for number in range(1, drawn.rounds + 1)
        ],
        "third": next(
            (
                {"x": (tie.round - 1) * (COLUMN + GAP), "y": middles[tie.number] - ROW // 2 - 10}
                for tie in drawn.ties
                if tie.third
            ),
            None,
        ),
        "ties": ties,
        "joins": joins,
        "winner": {
            "x": right,
            "y": middles[champion.tie] if champion else 0,
            "end": right + COLUMN - 8,
            "name": _cut(named(champion.winner)) if champion and champion.winner else "",
        },
        "last_join": f"M{right - GAP} {middles[champion.tie]}H{right - 8}" if champion else "",
    }


def _join(x: int, there: int, middle: int) -> str:
    """Return the line from a tie to the name of the next one that its winner takes."""
    end = middle - LINE if there < middle else middle + LINE
    turn = x - GAP // 2
    return f"M{x - GAP} {there}H{turn}V{end}H{x}"


def _tie(one: Fixture, x: int, middle: int, named: Named) -> Drawn:
    scores = _scores(one)
    sides = tuple(
        Side(
            x=x + 4,
            y=middle - LINE - 5 if place == 0 else middle + LINE - 5,
            text=_cut(side_words(one, place, named)),
            known=one.sides[place] is not None,
            won=one.winner is not None and one.winner == one.sides[place],
            figure=scores[place],
            figure_x=x + COLUMN - 8,
        )
        for place in (0, 1)
    )
    end = x + COLUMN
    lines = f"M{x} {middle - LINE}H{end}V{middle + LINE}H{x}"
    return Drawn(one.tie, (sides[0], sides[1]), lines, x + COLUMN + 3, middle, one.held)


def _bye(one: Fixture, x: int, middle: int, named: Named) -> Drawn:
    """Return a tie of one who goes on without a match: the name alone, on one line."""
    name = next((named(side) for side in one.sides if side is not None), "")
    side = Side(x + 4, middle - 5, _cut(name), True, False, "", x + COLUMN - 8)
    empty = Side(x + 4, middle + LINE, "", False, False, "", x + COLUMN - 8)
    return Drawn(0, (side, empty), f"M{x} {middle}H{x + COLUMN}", x, middle, False)


def _scores(one: Fixture) -> tuple[str, str]:
    """Return what both made, in the order of the sides; sets where it is played in sets."""
    if one.match is None or one.state in ("planned", "open", "ready"):
        return "", ""
    figures = {row.player_id: row for row in one.match.colour_projections.all() if row.player_id}
    if not figures or one.match.projection.state.get("ended_by") in ("walkover", "disqualified", "annulled"):
        return "", ""
    in_sets = one.match.format.get("sets_to_win") is not None
    return tuple(  # type: ignore[return-value]
        "" if pk not in figures else str(figures[pk].sets if in_sets else figures[pk].points)
        for pk in one.sides
    )


def _cut(name: str) -> str:
    return name if len(name) <= LETTERS else name[: LETTERS - 1].rstrip() + "…"
