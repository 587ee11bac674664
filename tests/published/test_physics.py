"""The simulator against values computed without its closed forms and without its event code.

data/physics.json: cloth motion integrated from forces and torques (SciPy DOP853, rtol 1e-11,
event functions), impacts integrated over impulse with regularised Coulomb friction (LSODA,
rtol 1e-9). Tolerances stand beside each value. Half-ball deflections: the closed form for
elastic, smooth balls, tan = sin cos / (sin^2 + 2/5), Alciatore, TP A.4 (from memory).
"""

import json
from math import atan2, cos, degrees, hypot, radians, sin
from pathlib import Path

import numpy as np
import pytest

from analytics.table import cloth, cushion, impacts
from analytics.table.parameters import BALL_RESTITUTION, CUSHION_RESTITUTION, TableParameters
from analytics.table.shots import Strike, play_stroke

DATA = json.loads((Path(__file__).parent / "data" / "physics.json").read_text("utf-8"))
TABLE = TableParameters()
RAILS = {"bottom": cushion.BOTTOM, "right": cushion.RIGHT, "top": cushion.TOP, "left": cushion.LEFT}


def ball_of(v, w, at=(0.0, 0.0)):
    return np.array([*at, *v, *w], dtype=float)


def named(section):
    return [pytest.param(case, id=case.get("name", str(at))) for at, case in enumerate(section["cases"])]


@pytest.mark.parametrize("case", named(DATA["cloth"]))
def test_cloth_motion_integrated_from_forces(case):
    p = TABLE.overridden(case.get("table", {})).as_array()
    ball, drives, now = ball_of(case["v"], case["w"]), np.zeros(4), 0.0
    spin = abs(case["w"][2]) / TABLE.spin_deceleration
    state = cloth.settle(ball, p)
    if state == cloth.SLIDES:
        now = cloth.drive(ball, state, p, drives)
        cloth.advance(ball, drives, now, p)
        cloth.end_state(ball, state, p)
    assert now == pytest.approx(case["slide_end_t"], abs=1e-8)
    assert ball[:2] == pytest.approx(case["slide_end_at"], abs=1e-8)
    assert ball[2:4] == pytest.approx(case["roll_v"], abs=1e-8)
    state = cloth.settle(ball, p)
    if state == cloth.ROLLS:
        took = cloth.drive(ball, state, p, drives)
        cloth.advance(ball, drives, took, p)
        now += took
    assert now == pytest.approx(case["stop_t"], abs=1e-8)
    assert ball[:2] == pytest.approx(case["stop_at"], abs=1e-8)
    assert spin == pytest.approx(case["spin_end_t"], abs=1e-8)


@pytest.mark.parametrize("case", named(DATA["ball_impacts"]))
def test_ball_impact_integrated_over_impulse(case):
    p = TABLE.overridden(case["table"]).as_array()
    first = ball_of(case["first"]["v"], case["first"]["w"])
    second = ball_of(case["second"]["v"], case["second"]["w"], case["line_of_centres"])
    impacts.collide(first, second, p, p[BALL_RESTITUTION])
    for ball, name in ((first, "first"), (second, "second")):
        assert ball[2:4] == pytest.approx(case["after"][name]["v"], abs=case["tolerance"]["v"])
        assert ball[4:] == pytest.approx(case["after"][name]["w"], abs=case["tolerance"]["w"])


@pytest.mark.parametrize("case", named(DATA["cushion_impacts"]))
def test_cushion_impact_integrated_over_impulse(case):
    table = TABLE.overridden(case["table"])
    ball = ball_of(case["v"], case["w"])
    p = table.as_array()
    cushion.rebound(ball, RAILS[case["rail"]], p, p[CUSHION_RESTITUTION])
    assert ball[2:4] == pytest.approx(case["after"]["v"], abs=case["tolerance"]["v"])
    surface = table.radius * ball[4:]
    assert surface == pytest.approx(table.radius * np.array(case["after"]["w"]), abs=case["tolerance"]["Rw"])


def shot_of(case):
    table = TABLE.overridden(case.get("table", {}))
    strike = Strike(case["strike"]["direction"], case["strike"]["speed"])
    # One reference stroke lies past the miscue limit, which the door refuses and physics does not know.
    for name in ("side", "height"):
        object.__setattr__(strike, name, case["strike"][name])
    return play_stroke(case["layout"], case["cue_ball"], strike, table)


def name_of(met):
    return met.contact.ball or met.contact.rail


@pytest.mark.parametrize("case", named(DATA["strokes"]))
def test_whole_stroke_integrated(case):
    shot, tolerance = shot_of(case), case["tolerance"]
    wanted = case["contacts"]
    got = shot.contacts[: len(wanted)]
    assert [name_of(one) for one in got] == [one.get("ball") or one["rail"] for one in wanted]
    for one, want in zip(got, wanted, strict=True):
        assert one.t == pytest.approx(want["t"], abs=tolerance["t"])
        assert one.at == pytest.approx(want["at"], abs=tolerance["at"])
    if case.get("complete"):
        assert len(shot.contacts) == len(wanted)
    for name, at in case.get("rest", {}).items():
        assert shot.rest[name] == pytest.approx(at, abs=tolerance["rest"])
    if "duration" in case:
        assert shot.duration == pytest.approx(case["duration"], abs=tolerance["duration"])


@pytest.mark.parametrize("case", named(DATA["behaviour"]))
def test_what_follows_from_the_definitions(case):
    first, wanted = shot_of(case).contacts[0], case["first_contact"]
    assert name_of(first) == (wanted.get("ball") or wanted["rail"])
    if "t" in wanted:
        assert first.t == pytest.approx(wanted["t"], abs=1e-6)
    if "at" in wanted:
        assert first.at == pytest.approx(wanted["at"], abs=1e-4)


@pytest.mark.parametrize("fraction", [0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875])
def test_rolling_cue_ball_is_deflected_as_the_closed_form_says(fraction):
    smooth = TABLE.overridden(
        {"ball_restitution": 1.0, "ball_friction_fast": 0.0, "ball_friction_slow": 0.0}
    ).as_array()
    cut = np.arcsin(1.0 - fraction)
    rolling = ball_of((1.0, 0.0), (0.0, 1.0 / TABLE.radius, 0.0))
    object_ball = ball_of((0, 0), (0, 0, 0), (2 * TABLE.radius * cos(cut), 2 * TABLE.radius * sin(cut)))
    impacts.collide(rolling, object_ball, smooth, smooth[BALL_RESTITUTION])
    drives = np.zeros(4)
    took = cloth.drive(rolling, cloth.settle(rolling, smooth), smooth, drives)
    cloth.advance(rolling, drives, took, smooth)
    deflected = degrees(abs(atan2(rolling[3], rolling[2])))
    assert deflected == pytest.approx(degrees(atan2(sin(cut) * cos(cut), sin(cut) ** 2 + 0.4)), abs=1e-9)


def test_half_ball_with_the_default_balls_departs_a_little_from_it():
    # 33.8, 33.0 and 32.7 degrees at 1, 2 and 3 m/s: measured with an independent simulator.
    for speed, wanted in ((1.0, 33.8), (2.0, 33.0), (3.0, 32.7)):
        p, cut = TABLE.as_array(), radians(30)
        rolling = ball_of((speed, 0.0), (0.0, speed / TABLE.radius, 0.0))
        other = ball_of((0, 0), (0, 0, 0), (2 * TABLE.radius * cos(cut), 2 * TABLE.radius * sin(cut)))
        impacts.collide(rolling, other, p, p[BALL_RESTITUTION])
        drives = np.zeros(4)
        cloth.advance(rolling, drives, 0.0, p)
        took = cloth.drive(rolling, cloth.settle(rolling, p), p, drives)
        cloth.advance(rolling, drives, took, p)
        assert degrees(abs(atan2(rolling[3], rolling[2]))) == pytest.approx(wanted, abs=0.1)
        assert hypot(rolling[2], rolling[3]) < speed
