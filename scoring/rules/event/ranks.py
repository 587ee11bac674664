"""What is recorded of the ranking itself: lots that were drawn, and points that were taken.

state["lots"]: {seq, players or teams, seed}, the first drawn before the next; `seed` is None where the
lot was drawn by hand. state["deductions"]: {seq, player or team, match_points, board_points}, amounts as
texts of fractions; one that was taken back is gone. Players and teams are ranked by the same rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from scoring.rules import lots as drawing
from scoring.rules.match.checks import Refused
from scoring.rules.reading import a_fraction, a_text, an_int
from scoring.rules.said import Malformed, said

from .entry import MAX_ID, EventEntry, Kind, State, an_id, ids

MOST_TAKEN = 1000


def start() -> State:
    """Return the part of the state that is kept here."""
    return {"lots": [], "deductions": []}


def lots_of(state: State, whom: str = "players") -> list[list[int]]:
    """Return the lots that were drawn among players or teams, in order, as ranking takes them."""
    return [one[whom] for one in state["lots"] if whom in one]


def drawn_order(seed: str, keys: list[int]) -> list[int]:
    """Return ids in the order a seed draws them: by `rules.lots`, the id written as digits."""
    return [int(name) for name in drawing.drawn(seed, [str(key) for key in keys])]


def taken(state: State, whom: str = "player") -> Mapping[int, tuple[Fraction, Fraction]]:
    """Return the match points and board points taken from each player or team."""
    sums: dict[int, tuple[Fraction, Fraction]] = {}
    for one in state["deductions"]:
        if whom in one:
            match_points, board_points = sums.get(one[whom], (Fraction(0), Fraction(0)))
            sums[one[whom]] = (
                match_points + Fraction(one["match_points"]),
                board_points + Fraction(one["board_points"]),
            )
    return sums


def _one_of(fields: Mapping[str, Any], first: str, second: str) -> str:
    if (first in fields) == (second in fields):
        raise Malformed(first, said("either players or teams are needed here"))
    return first if first in fields else second


def _lot(state: State, entry: EventEntry) -> None:
    """Keep a lot; with a seed the order follows from it, in whatever order they were named."""
    whom = _one_of(entry.fields, "players", "teams")
    named, seed = entry.fields[whom], entry.fields.get("seed")
    if len(named) < 2:
        raise Malformed(whom, said("a lot is drawn between two or more"))
    order = list(named) if seed is None else drawn_order(seed, named)
    state["lots"].append({"seq": entry.seq, whom: order, "seed": seed})


def _deduct(state: State, entry: EventEntry) -> None:
    whom = _one_of(entry.fields, "player", "team")
    amounts = {name: str(entry.fields.get(name, "0")) for name in ("match_points", "board_points")}
    if not any(Fraction(one) for one in amounts.values()):
        raise Malformed("match_points", said("say how many points are taken"))
    state["deductions"].append({"seq": entry.seq, whom: entry.fields[whom], **amounts})


def _give_back(state: State, entry: EventEntry) -> None:
    left = [one for one in state["deductions"] if one["seq"] != entry.fields["entry"]]
    if len(left) == len(state["deductions"]):
        raise Refused("not-deducted", said("These points are not taken, or were given back before."))
    state["deductions"] = left


def _amount(value: Any, name: str) -> str:
    return str(a_fraction(value, name, 0, MOST_TAKEN))


KINDS = {
    "lot": Kind(_lot, {"players": ids, "teams": ids, "seed": lambda value, name: a_text(value, name, 80)}),
    "deduct": Kind(
        _deduct,
        {"player": an_id, "team": an_id, "match_points": _amount, "board_points": _amount},
        frozenset({"why"}),
    ),
    "give-back": Kind(
        _give_back, {"entry": lambda value, name: an_int(value, name, 1, MAX_ID)}, frozenset({"entry"})
    ),
}
