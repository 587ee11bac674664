"""What holds of the diamond systems whatever the numbers: lines, mirrors, words, refusals."""

import json
from itertools import pairwise
from math import isclose

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from analytics.aim.diamonds.corner import origin_seen
from analytics.aim.diamonds.geometry import CORNERS, Orientation, at_across, distance
from analytics.aim.diamonds.plus import AIMS
from analytics.aim.diamonds.question import RADIUS, Question
from analytics.aim.diamonds.scales import SCHOOLS
from analytics.aim.diamonds.systems import SYSTEMS, answer
from analytics.aim.diamonds.tracks import natural, track
from analytics.aim.diamonds.words import place
from scoring.rules.said import Malformed

FEW = settings(max_examples=60, deadline=None)
LINEAR = SCHOOLS["linear"]
D = 0.25
corners = st.sampled_from(sorted(CORNERS))
schools = st.sampled_from(["linear", "european"])
shares = st.floats(0.1, 0.9)
cue_balls = st.tuples(st.floats(0.2, 2.5), st.floats(0.2, 4.5))
# Whatever may be asked of each system by numbers: origin and aim.
ASKED = {
    "corner": st.tuples(st.floats(2.5, 7.5), st.floats(0, 2.5)),
    "plus": st.tuples(st.floats(0.5, 4), st.floats(0.25, 3.5)),
    "one-rail": st.tuples(st.floats(1, 7), st.floats(1, 7)),
    "two-rail": st.tuples(st.floats(1, 7), st.floats(0.1, 0.4)),
    "sid": st.tuples(st.floats(0.5, 4), st.floats(0.5, 2.2)),
    "half": st.tuples(st.floats(0.5, 8), st.none()),
    "base-30": st.tuples(st.floats(3.1, 5), st.none()),
}


def ask(system, **given_):
    return answer(Question(system=system, **given_))


def numbers(found):
    return [found.origin, found.aim, found.arrival]


def inside(point, margin=RADIUS + 1e-6):
    return margin <= point[0] <= 4 - margin and margin <= point[1] <= 8 - margin


def between(start, end, share):
    return tuple(a + (b - a) * share for a, b in zip(start, end, strict=True))


@FEW
@given(
    st.data(), corners, st.sampled_from(sorted(SYSTEMS)), st.sampled_from(["through", "opposite", "split"])
)
def test_numbers_to_line_to_numbers(data, corner, system, reading):
    """A cue ball anywhere on the line that the numbers ask for gives the numbers back."""
    origin, aim = data.draw(ASKED[system])
    if system == "two-rail":
        aim *= origin
    told = {"corner": corner, "reading": reading, "mark_offset": D}
    try:
        found = ask(system, origin=origin, aim=aim, **told)
    except Malformed:
        assume(False)
    cue_ball = between(*found.line, data.draw(shares))
    assume(inside(cue_ball))
    back = ask(system, cue_ball=cue_ball, aim=found.aim, **told)
    assert numbers(back) == pytest.approx(numbers(found), abs=1e-6)
    if system not in ("half", "base-30") and found.arrival is not None and found.arrival >= 0:
        again = ask(system, cue_ball=cue_ball, arrival=found.arrival, **told)
        assert numbers(again) == pytest.approx(numbers(found), abs=1e-6)


@FEW
@given(st.data(), st.sampled_from(["corner", "plus", "one-rail", "two-rail", "sid"]))
def test_any_number_may_be_missing(data, system):
    origin, aim = data.draw(ASKED[system])
    if system == "two-rail":
        aim *= origin
    try:
        found = ask(system, origin=origin, aim=aim)
    except Malformed:
        assume(False)
    assume(None not in numbers(found) and found.arrival >= 0)
    assert numbers(ask(system, origin=origin, arrival=found.arrival)) == pytest.approx(numbers(found))
    assert numbers(ask(system, aim=aim, arrival=found.arrival)) == pytest.approx(numbers(found))
    every = ask(system, origin=origin, aim=aim, arrival=found.arrival)
    assert numbers(every) == pytest.approx(numbers(found))
    with pytest.raises(Malformed, match="leave one of the three out"):
        ask(
            system,
            origin=origin,
            aim=aim,
            arrival=found.arrival / 2 if found.arrival > 1 else found.arrival + 0.05,
        )


@FEW
@given(
    st.sampled_from(["corner", "plus", "one-rail", "two-rail", "sid"]),
    corners,
    st.tuples(st.floats(0.2, 3.8), st.floats(0.2, 7.8)),
    st.tuples(st.floats(0.2, 3.8), st.floats(0.2, 7.8)),
)
def test_orientations_agree_by_reflection(system, corner, cue_ball, ball):
    """The reflected balls get the reflected answer, or the same refusal."""
    way = Orientation(*CORNERS[corner])
    results = []
    for turn, near in ((lambda point: point, "bottom-left"), (way.turn, corner)):
        try:
            found = ask(system, cue_ball=turn(cue_ball), ball=turn(ball), corner=near)
        except Malformed as refused:
            results.append((refused.field, str(refused.reason)))
        else:
            places = {**found.points, **{f"mark {name}": at for name, at in found.marks.items()}}
            results.append(
                (
                    [
                        None if value is None else round(value, 6)
                        for value in (*numbers(found), *(found.window or ()))
                    ],
                    {n: None if at is None else turn(at) for n, at in places.items()},
                )
            )
    (plain, at), (turned, turned_at) = results
    assert plain == turned or plain == pytest.approx(turned, abs=1e-5)
    if isinstance(at, dict):
        assert at.keys() == turned_at.keys()
        for name, point in at.items():
            assert point == turned_at[name] or point == pytest.approx(turned_at[name], abs=1e-6)


@FEW
@given(st.floats(0, 3), st.floats(2, 4.9), st.sampled_from([0.0, 0.1, D, 0.4]))
def test_lines_of_one_arrival_meet_in_one_point(arrival, origin, offset):
    """From the left rail all aim lines of arrival T pass through (8 + 3d, 6 + 2T)."""
    assume(origin > arrival)
    reading = "through" if offset else "opposite"
    found = ask("corner", origin=origin, arrival=arrival, mark_offset=offset, reading=reading)
    start, end = found.line
    assert at_across(8 + 3 * offset, start, end) == pytest.approx(6 + 2 * arrival)


@FEW
@given(cue_balls, st.floats(0, 4))
def test_bisection_meets_the_closed_forms(cue_ball, arrival):
    """The common point, the corner zone or the quadratic: whichever branch holds its own."""
    try:
        found = ask("corner", cue_ball=cue_ball, arrival=arrival)
    except Malformed:
        assume(False)
    x, y = cue_ball
    if found.origin < 5 - 1e-9:
        meeting = (8 + 3 * D, 6 + 2 * arrival)
        assert found.aim == pytest.approx(8 - at_across(4 + D, cue_ball, meeting), abs=1e-6)
    elif isclose(found.origin, 5, abs_tol=1e-9):
        assert found.aim == pytest.approx(5 - arrival, abs=1e-6)
    else:
        m = 4 + D - x
        b = x + y - 3 - arrival
        up = (-b + (b * b + 4 * m * (y + D)) ** 0.5) / 2
        assert found.aim == pytest.approx(8 - y - up, abs=1e-6)


@FEW
@given(cue_balls, st.sampled_from([0.1, D, 0.4]), st.sampled_from(["through", "opposite", "split"]))
def test_origin_never_jumps_as_the_aim_moves(cue_ball, offset, reading):
    asked = Question(system="corner", reading=reading, mark_offset=offset)
    seen = [origin_seen(LINEAR, cue_ball, at / 100, asked) for at in range(501)]
    steps = [before - after for before, after in pairwise(seen)]
    assert min(steps) >= -1e-9
    assert max(steps) < 0.6


@FEW
@given(st.floats(2, 5), st.floats(0, 2))
def test_mirror_arrives_at_twice_the_number_less_two(origin, arrival):
    assume(origin - arrival >= 0)
    found = ask("corner", origin=origin, arrival=arrival)
    if arrival >= 1 and found.mirror is not None:
        assert found.mirror == pytest.approx(2 * arrival - 2, abs=1e-9)


@FEW
@given(st.floats(0.02, 5.9), shares, schools)
def test_ball_on_a_track_asks_for_it(down, share, school):
    ball = between(*track(down), share)
    assume(inside(ball))
    assert natural(ball, 2 * RADIUS) == pytest.approx(down, abs=1e-6)
    arrival = SCHOOLS[school].arrivals.number(down)
    found = ask("corner", origin=max(arrival, 5), ball=ball, outer=school)
    assert found.arrival == pytest.approx(arrival, abs=1e-6)
    assert found.window[0] <= found.arrival <= found.window[1]


@FEW
@given(st.floats(0.5, 5), shares)
def test_window_ends_where_the_balls_just_touch(down, share):
    ball = between(*track(down), share)
    assume(inside(ball))
    low, high = ask("corner", origin=5, ball=ball).window
    for edge in (low, high):
        if 0 < edge < 6:
            assert distance(ball, track(edge)) == pytest.approx(2 * RADIUS, abs=1e-6)


@FEW
@given(st.floats(2.5, 7), st.floats(0, 2), shares)
def test_correction_from_a_layout_grows_with_the_distance(origin, arrival, share):
    """Aim back from the balls: origin − aim is the track plus half a weight of (5 − origin)."""
    start, end = track(arrival)
    ball = between(start, end, share)
    assume(inside(ball))
    try:
        found = ask("corner", origin=origin, ball=ball, correct=True)
    except Malformed as refused:
        # Too low an origin for the track, or too high a one for a correction so large.
        assert refused.field == "layout.ball"
        return
    assert found.track == pytest.approx(arrival, abs=1e-6)
    assert found.arrival - found.track == pytest.approx(0.5 * ball[0] / 4 * (5 - origin), abs=1e-6)


@FEW
@given(st.tuples(st.floats(0.2, 3), st.floats(0.2, 3)), st.tuples(st.floats(0.3, 3.7), st.floats(1, 7)))
def test_layout_with_correction_is_its_own_answer(cue_ball, ball):
    try:
        found = ask("corner", cue_ball=cue_ball, ball=ball, correct=True)
    except Malformed:
        assume(False)
    assert found.origin - found.aim == pytest.approx(found.arrival, abs=1e-6)
    again = ask("corner", origin=found.origin, ball=ball, correct=True)
    assert again.aim == pytest.approx(found.aim, abs=1e-6)


def test_plus_numbers_read_both_ways():
    places = [at / 40 for at in range(121)]
    assert [AIMS.place(AIMS.number(one)) for one in places] == pytest.approx(places)
    assert [AIMS.number(at / 2) for at in range(1, 7)] == [at + 1 for at in range(1, 7)]


@pytest.mark.parametrize(
    ("y", "text"),
    [
        (8, "in the corner of the right and the top rail"),
        (0, "in the corner of the right and the bottom rail"),
        (5, "at mark 3 of the right rail, counted from the top rail"),
        (4.5, "half-way from mark 3 to mark 4 of the right rail, counted from the top rail"),
        (7.75, "a quarter of the way from the corner to mark 1 of the right rail, counted from the top rail"),
        (
            0.25,
            "three quarters of the way from mark 7 to the corner of the right rail, counted from the top rail",
        ),
        (4.9, "a tenth of the way from mark 3 to mark 4 of the right rail, counted from the top rail"),
        (4.3, "7 tenths of the way from mark 3 to mark 4 of the right rail, counted from the top rail"),
        (
            4.67,
            "about 3 tenths of the way from mark 3 to mark 4 of the right rail, counted from the top rail",
        ),
        (4.98, "about at mark 3 of the right rail, counted from the top rail"),
    ],
)
def test_place_in_words(y, text):
    assert str(place(Orientation(), "right", (4, y), "top")) == text


def test_words_follow_the_orientation():
    found = ask("corner", origin=5, aim=3, corner="top-right")
    told = " ".join(str(step.text) for step in found.steps)
    assert "Aim 3: at mark 3 of the left rail, counted from the bottom rail" in told


@pytest.mark.parametrize(
    ("field", "given_"),
    [
        ("system", {"system": "clock"}),
        ("system", {"system": ["corner"]}),
        ("origin", {"origin": float("nan"), "aim": 1}),
        ("origin", {"origin": True, "aim": 1}),
        ("aim", {"origin": 4, "aim": "2"}),
        ("aim", {"origin": 4, "aim": 10**400}),
        ("aim", {"origin": 4}),
        ("aim", {"origin": 4, "aim": -1}),
        ("aim", {"origin": 4.5, "aim": 5.5}),
        ("aim", {"origin": 4.5, "arrival": -2, "aim": 6.5}),
        ("origin", {"origin": 9, "aim": 5}),
        ("aim", {"aim": 5, "arrival": 4}),
        ("arrival", {"origin": 3, "arrival": 3.5}),
        ("arrival", {"origin": 4, "aim": 1, "arrival": 2}),
        ("origin", {"origin": 4, "cue_ball": (1, 1), "arrival": 2}),
        ("arrival", {"arrival": 2, "ball": (1, 5), "origin": 4}),
        ("layout.ball", {"cue_ball": (1, 1), "ball": (1.1, 1.1)}),
        ("layout.cue_ball", {"cue_ball": (0.01, 1), "ball": (1, 5)}),
        ("layout.cue_ball", {"cue_ball": (1, float("inf")), "ball": (1, 5)}),
        ("layout.ball", {"cue_ball": (1, 1), "ball": (1, 7.9)}),
        ("layout.ball", {"origin": 5, "ball": (0.2, 0.2)}),
        ("arrival", {"cue_ball": (1, 1)}),
        ("corner", {"origin": 4, "aim": 1, "corner": "middle"}),
        ("first_rail", {"origin": 4, "aim": 1, "first_rail": "top"}),
        ("first_rail", {"origin": 4, "aim": 1, "corner": "bottom-left", "first_rail": "left"}),
        ("reading", {"origin": 4, "aim": 1, "reading": "near"}),
        ("outer", {"origin": 4, "aim": 1, "outer": 3}),
        ("mark_offset", {"origin": 4, "aim": 1, "mark_offset": 0.6}),
        ("correct", {"origin": 4, "aim": 1, "correct": 1}),
        ("arrival", {"system": "half", "origin": 4, "arrival": 1}),
        ("origin", {"system": "half"}),
        ("aim", {"system": "half", "origin": 4, "aim": 3}),
        ("aim", {"system": "base-30", "origin": 4, "aim": 2}),
        ("origin", {"system": "base-30", "origin": 6}),
        ("arrival", {"system": "two-rail", "origin": 3, "arrival": 4}),
        ("aim", {"system": "two-rail", "aim": 8, "ball": (0.1, 7.9)}),
        ("aim", {"origin": 5, "aim": 2, "ball": (2, 4)}),
        ("aim", {"system": "sid", "aim": 20, "arrival": 6}),
        ("layout.cue_ball", {"system": "sid", "aim": 20, "cue_ball": (0.2, 5)}),
        ("arrival", {"system": "plus", "origin": 4, "arrival": 3}),
        ("aim", {"system": "plus", "origin": 6, "aim": 3}),
        ("arrival", {"system": "sid", "aim": 3, "arrival": 0}),
        ("origin", {"system": "sid", "aim": 3, "origin": 0}),
    ],
)
def test_refusal_names_the_field(field, given_):
    with pytest.raises(Malformed) as refused:
        answer(Question(**({"system": "corner"} | given_)))
    assert refused.value.field == field
    assert str(refused.value.reason).endswith(".")


ANY_NUMBER = st.none() | st.floats(-1, 9) | st.sampled_from([0, 5, 8, 1e300, 1e-300])
ANY_BALL = st.none() | st.tuples(
    st.floats(0.1, 3.9) | st.sampled_from([0.1, 3.9]), st.floats(0.1, 7.9) | st.sampled_from([0.1, 7.9])
)


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from(sorted(SYSTEMS)),
    ANY_NUMBER,
    ANY_NUMBER,
    ANY_NUMBER,
    ANY_BALL,
    ANY_BALL,
    st.booleans(),
    schools,
)
def test_whatever_is_asked_is_answered_on_the_table_or_refused(
    system, origin, aim, arrival, cue_ball, ball, correct, outer
):
    given_ = {"origin": origin, "aim": aim, "arrival": arrival, "cue_ball": cue_ball, "ball": ball}
    try:
        found = ask(system, correct=correct, outer=outer, **given_)
    except Malformed:
        return
    for point in found.points.values():
        assert point is None or (-1e-6 <= point[0] <= 4 + 1e-6 and -1e-6 <= point[1] <= 8 + 1e-6)
    if found.window is not None:
        assert found.window[0] - 1e-6 <= found.arrival <= found.window[1] + 1e-6
    json.dumps(found.to_json(), allow_nan=False)


@pytest.mark.parametrize(
    ("part", "given_"),
    [
        ("Below origin 2", {"origin": 1.5, "aim": 0.5}),
        ("outside the core", {"origin": 7.5, "aim": 4}),
        ("aim differently: 6 here is 7", {"origin": 7, "aim": 6}),
        ("arrival differently: 5 here is 6", {"origin": 7, "arrival": 5}),
        ("comes short", {"origin": 4, "aim": 2}),
        ("comes long", {"origin": 6, "aim": 3}),
        ("first leg is steep", {"origin": 7, "aim": 3}),
        ("near a rail", {"cue_ball": (0.2, 3), "arrival": 2}),
        ("plays long or short", {"origin": 5, "aim": 3}),
        ("known for few numbers", {"origin": 4.5, "aim": 5}),
        ("holds for origins from 2 to 6", {"system": "plus", "origin": 1, "aim": 3}),
        ("exact mirror would aim at 8.18", {"system": "sid", "origin": 3, "arrival": 3}),
        ("plane mirrors", {"system": "half", "origin": 2}),
    ],
)
def test_warning(part, given_):
    told = answer(Question(**({"system": "corner"} | given_))).warnings
    assert any(part in str(one) for one in told), [str(one) for one in told]


def test_nothing_is_warned_of_at_the_reference_but_the_table_and_the_corner():
    told = [str(one) for one in ask("corner", origin=5, aim=3).warnings]
    assert len(told) == 2
    assert told[0].startswith("The corner has no mark")


@pytest.mark.parametrize("system", sorted(SYSTEMS))
def test_every_step_says_where_it_comes_from_and_the_stroke_is_told(system):
    told = ask(system, origin=4, aim={"half": 2, "base-30": 3}.get(system, 2)).to_json()
    assert len(told["steps"]) == len(told["status"])
    assert set(told["status"]) <= {"S", "D"}
    assert told["steps"][-1] == told["stroke"]
    assert not [step for step in told["steps"] if "%(" in step]


def test_a_track_between_the_published_ones_is_said_to_be_derived():
    def fourth(arrival):
        found = ask("corner", origin=5, arrival=arrival)
        return next(one.status for one in found.steps if "fourth rail" in str(one.text))

    assert [fourth(arrival) for arrival in (2, 2.5, 3)] == ["S", "D", "S"]
