"""The simulator against a general integrator, which shares no line of code with it.

`reference.py` integrates forces, torques and impulses with SciPy. It is held itself to the
values of data/physics.json, made by another such integration. Strokes are compared up to the
first ball and two contacts after it; later ones depend on the last digits of everything.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from analytics.table.parameters import PRESETS, TableParameters
from analytics.table.shots import Strike, play_stroke
from tests.published.reference import NAMES, ball_impact, cushion_impact, reference_stroke

DATA = json.loads((Path(__file__).parent / "data" / "physics.json").read_text("utf-8"))
TABLE = TableParameters()
OUTWARDS = {"left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1)}

# name: layout of white, yellow, red; cue ball; direction, speed, side, height; table
STROKES = {
    "running side, three rails, then a ball": (
        ((0.6, 0.9), (3.0, 0.4), (0.4, 7.0)),
        "white",
        (54.0, 3.2, -0.28, 0.1),
        TABLE,
    ),
    "half a ball to the left, side": (
        ((1.0, 2.0), (2.4, 4.6), (3.2, 7.3)),
        "white",
        (61.0, 4.0, 0.2, 0.2),
        TABLE,
    ),
    "draw off a thick ball": (((2.1, 1.5), (0.4, 7.0), (2.2, 4.0)), "white", (88.5, 3.5, 0.0, -0.3), TABLE),
    "reverse side off the short rail": (
        ((3.3, 5.5), (1.2, 1.5), (0.5, 3.0)),
        "yellow",
        (70.0, 3.0, 0.25, 0.0),
        TABLE,
    ),
    "follow, thin, along a rail": (
        ((3.7, 2.0), (3.87, 5.0), (0.8, 6.0)),
        "white",
        (88.4, 2.5, -0.1, 0.35),
        TABLE,
    ),
    "slow, on a club's cloth": (
        ((1.5, 6.5), (3.0, 3.5), (0.7, 1.2)),
        "white",
        (-62.0, 1.6, 0.15, 0.15),
        PRESETS["club"],
    ),
    "a small table": (
        ((0.9, 1.1), (1.3, 6.35), (2.2, 3.1)),
        "white",
        (41.0, 3.4, -0.2, -0.1),
        PRESETS["small-230"],
    ),
    "frozen to the first ball": (
        ((2.0, 3.0), (2.0 + 2 * TABLE.radius / 0.355, 3.0), (1.0, 6.5)),
        "white",
        (50.0, 3.0, 0.1, 0.1),
        TABLE,
    ),
}


def played(name):
    places, cue_ball, strike, table = STROKES[name]
    layout = dict(zip(NAMES, places, strict=True))
    shot = play_stroke(layout, cue_ball, Strike(*strike), table)
    contacts = [(met.t, met.contact.ball or met.contact.rail, met.at) for met in shot.contacts]
    first = next(at for at, contact in enumerate(contacts) if contact[1] in NAMES)
    most = min(len(contacts), first + 3)
    return first, contacts[:most], reference_stroke(layout, cue_ball, *strike, table, most=most)


@pytest.mark.parametrize("name", STROKES)
def test_the_simulator_meets_what_a_general_integrator_meets(name):
    first, contacts, wanted = played(name)
    assert [what for _, what, _ in contacts] == [what for _, what, _ in wanted]
    for order, ((t, _, at), (t_wanted, _, at_wanted)) in enumerate(zip(contacts, wanted, strict=True)):
        assert t == pytest.approx(t_wanted, abs=0.01)
        assert at == pytest.approx(at_wanted, abs=0.005 if order <= first else 0.02)


@pytest.mark.parametrize("case", DATA["strokes"]["cases"][1:5], ids=lambda case: case["name"])
def test_the_general_integrator_meets_the_listed_strokes(case):
    strike = [case["strike"][name] for name in ("direction", "speed", "side", "height")]
    table = TABLE.overridden(case["table"])
    contacts = reference_stroke(case["layout"], case["cue_ball"], *strike, table, most=len(case["contacts"]))
    for (t, what, at), wanted in zip(contacts, case["contacts"], strict=True):
        assert what == (wanted.get("ball") or wanted["rail"])
        assert t == pytest.approx(wanted["t"], abs=1e-5)
        assert at == pytest.approx(wanted["at"], abs=5e-5)


def test_the_general_integrator_finds_the_graze_between_two_steps():
    case = next(case for case in DATA["behaviour"]["cases"] if "graz" in case["name"])
    strike = [case["strike"][name] for name in ("direction", "speed", "side", "height")]
    ((t, what, at),) = reference_stroke(case["layout"], case["cue_ball"], *strike, TABLE, most=1)
    assert what == case["first_contact"]["ball"]
    assert t == pytest.approx(case["first_contact"]["t"], abs=1e-6)
    assert at == pytest.approx(case["first_contact"]["at"], abs=1e-5)


@pytest.mark.parametrize("case", DATA["cushion_impacts"]["cases"], ids=lambda case: case["rail"])
def test_the_general_integrator_meets_the_listed_cushion_impacts(case):
    table = TABLE.overridden(case["table"])
    ball = np.array([0.0, 0.0, *case["v"], *case["w"]])
    cushion_impact(ball, OUTWARDS[case["rail"]], table, table.cushion_restitution)
    assert ball[2:4] == pytest.approx(case["after"]["v"], abs=1e-6)
    assert ball[4:] * table.radius == pytest.approx(np.array(case["after"]["w"]) * table.radius, abs=1e-5)


@pytest.mark.parametrize("case", DATA["ball_impacts"]["cases"])
def test_the_general_integrator_meets_the_listed_ball_impacts(case):
    table = TABLE.overridden(case["table"])
    balls = [np.array([0.0, 0.0, *case[name]["v"], *case[name]["w"]]) for name in ("first", "second")]
    ball_impact(*balls, case["line_of_centres"], table, table.ball_restitution)
    for ball, name in zip(balls, ("first", "second"), strict=True):
        assert ball[2:4] == pytest.approx(case["after"][name]["v"], abs=1e-6)
        assert ball[4:] == pytest.approx(case["after"][name]["w"], abs=1e-4)
