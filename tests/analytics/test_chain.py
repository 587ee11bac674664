"""The whole chain on simulated truth: strokes of a known hand through the API, and what reports say.

The lines and their predictions are the first 20 of tests/studies/chain_lines.py, 10 strokes each;
tests/studies/chain.py plays as many players as it takes to count how often this holds.
What is expected here follows from the hand that played, which no report knows.
"""

from __future__ import annotations

import uuid

import numpy as np
import pytest

from analytics import spread_fits
from analytics.models import Prediction
from analytics.predictions import Handed, asked_of, do_keep_handed, predicted
from analytics.reports import calibration, practising, recalibrating, spreads
from analytics.spreads import spread_of
from scoring.models import Match, StrokeProjection
from tests.cast import client_for, make_match, make_organiser, make_table
from tests.studies import chain, chain_lines

pytestmark = pytest.mark.django_db
LINES, ROUNDS = 20, 10
MOST = 500  # entries in one list


def through_api(made: np.ndarray) -> Match:
    """Write every stroke with its balls and line before it; the opponent misses in between."""
    match = make_match(distance=(None, None), table=make_table())
    client, url = client_for(make_organiser()), f"/api/matches/{match.pk}/entries/"
    rows: list[dict] = [{"kind": "open", "starter": match.entrant_a_id}]
    for turn in made.T:
        for declared, point in zip(chain_lines.lines(), turn, strict=False):
            rows.append(
                {
                    "kind": "position",
                    "layout": declared.layout,
                    "cue_ball": declared.cue_ball,
                    "line": declared.line,
                }
            )
            kind = "point" if point else "miss"
            rows.append({"kind": kind, "family": declared.family, "opening": False})
            rows += [] if point else [{"kind": "inning", "run": 0}]
    # Nobody can win it: the fit waits for the end.
    rows.append({"kind": "concede", "player": match.entrant_b_id})
    for begin in range(0, len(rows), MOST):
        part = [row | {"uuid": str(uuid.uuid4()), "after": begin} for row in rows[begin : begin + MOST]]
        answer = client.post(url, part, format="json")
        assert {one["status"] for one in answer.json()["results"]} == {"stored"}
    return match


def handed_on(match: Match) -> list[Handed]:
    """Return the predictions that were worked out beforehand, for each stroke in turn."""
    return [
        Handed(one.place, one.kind, 1.0, chain_lines.lines()[at % LINES].hits)
        for at, one in enumerate(asked_of([match]))
    ]


def kept(match: Match) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return what the site holds of each stroke in order: its grid, whether it was made, its family."""
    strokes = {one.place: one for one in StrokeProjection.objects.filter(match=match)}
    rows = list(Prediction.objects.filter(match=match, kind="blind", source="declared").order_by("place"))
    ours = [strokes[row.place] for row in rows]
    return (
        np.array([row.grid for row in rows]),
        np.array([one.kind == "point" for one in ours], float),
        np.array([one.family_tried for one in ours]),
    )


def played_by(spread: float, weak: str | None = None) -> Match:
    """Write 200 strokes of a hand, and keep what was predicted of them."""
    declared = chain_lines.lines()[:LINES]
    errors, chance = chain_lines.errors_of(declared, spread, weak), np.random.default_rng(7)
    match = through_api(chain_lines.play_lines(declared, errors, ROUNDS, chance))
    do_keep_handed({match.pk: handed_on(match)}, model=chain_lines.MODEL, kernels="of the study")
    return match


def test_fitted_spread_holds_the_true_one_and_promises_hold() -> None:
    true = 1.2
    match = played_by(true)
    grid, made, _ = kept(match)
    assert spread_fits.fit_of({match.entrant_a_id}, "three-cushion") is None
    assert spread_fits.do_refit() > 0
    found = spread_fits.fit_of({match.entrant_a_id}, "three-cushion")
    assert found["strokes"] == len(grid) == LINES * ROUNDS
    assert found["low"] < true < found["high"] < 2 * found["low"]
    # From now on that is what the site aims with.
    assert spread_of(match.entrant_a) == found["median"] == round(spreads.fit(grid, made).median, 4)
    # What was promised before each stroke, from the strokes before it alone.
    promised = spreads.one_step(grid, made)
    off = calibration.corp(promised, made).mcb
    assert off < calibration.by_chance(promised).most
    assert recalibrating.in_the_large(promised, made).interval.holds(0.0)
    # Promised for another hand, the same strokes are called badly predicted.
    other = chain.success(grid, 0.5)
    assert calibration.corp(other, made).mcb > calibration.by_chance(other).most
    assert not recalibrating.in_the_large(other, made).interval.holds(0.0)


def test_planted_weakness_comes_first_in_what_to_practise() -> None:
    declared = chain_lines.lines()[:LINES]
    weak = chain_lines.most_frequent(declared)
    advice = practising.advise(chain.items(*kept(played_by(0.9, weak))))
    assert advice.worth[0].name == weak
    assert advice.worth[0].best == max(one.best for one in advice.worth)
    # A steady hand of the same spread has nothing there to gain that would stand out so.
    steady = practising.advise(chain.items(*kept(played_by(0.9))))
    of_weak = next(one for one in steady.worth if one.name == weak)
    assert of_weak.gain < advice.worth[0].gain


def test_handed_predictions_are_those_that_a_worker_makes() -> None:
    declared = chain_lines.lines()[:LINES]
    match = through_api(np.ones((len(declared), 1), bool))
    asked, ours = asked_of([match])[0], chain_lines.lines()[0]
    made = predicted(asked, threads=1)
    assert made is not None
    assert (tuple(made.hits), tuple(made.grid)) == (ours.hits, ours.grid)
