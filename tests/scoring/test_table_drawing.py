"""The table drawing: to scale, told apart without colour, never more on it than was told."""

import re
from xml.etree import ElementTree

import pytest

from scoring.templatetags.symbols import BALL_SIGNS, PATHS, ball_svg, symbol_svg
from scoring.templatetags.table_drawing import BALL, contact_words, number_place, table_svg

LAYOUT = {"white": (1.46, 1.28), "yellow": (2.44, 1.43), "red": (2.1, 4.45)}
AROUND = [
    {"ball": "yellow", "at": (2.28, 1.48)},
    {"rail": "right", "at": (3.913, 3.25)},
    {"rail": "top", "at": (0.45, 7.913)},
    {"rail": "left", "at": (0.087, 7.5)},
    {"ball": "red", "at": (2.0, 4.6)},
]


def parts(svg: str, css: str) -> list[ElementTree.Element]:
    return [e for e in ElementTree.fromstring(svg).iter() if css in e.get("class", "").split()]


def number(element: ElementTree.Element, name: str) -> float:
    return float(element.get(name, "nan"))


def test_nose_is_twice_as_long_as_wide() -> None:
    (nose,) = parts(table_svg(), "nose")
    assert number(nose, "height") == pytest.approx(2 * number(nose, "width"))
    (nose,) = parts(table_svg(lying=True), "nose")
    assert number(nose, "width") == pytest.approx(2 * number(nose, "height"))


def test_seven_diamonds_on_long_rails_and_three_on_short() -> None:
    assert len(parts(table_svg(), "diamond")) == 2 * 7 + 2 * 3
    assert len(parts(table_svg(), "spot")) == 5


def test_balls_are_to_scale() -> None:
    discs = parts(table_svg(LAYOUT, scale=100), "ball-disc")
    assert [number(d, "r") for d in discs] == pytest.approx([BALL * 100] * 3, abs=0.05)


def test_balls_are_told_apart_by_sign_and_name() -> None:
    svg = table_svg(LAYOUT)
    assert len(parts(svg, "ball-sign")) == 2
    assert sorted(e.text or "" for e in parts(svg, "ball-name")) == ["Red", "White", "Yellow"]


def test_small_balls_lose_the_bar_but_never_the_name() -> None:
    svg = table_svg({"red": (2, 4)}, scale=40)
    assert parts(svg, "ball-sign") == []
    assert [e.text for e in parts(svg, "ball-name")] == ["Red"]


def test_lying_has_left_rail_on_top_and_bottom_at_the_left() -> None:
    (disc,) = parts(table_svg({"white": (0.5, 1)}, lying=True), "ball-disc")
    (nose,) = parts(table_svg(lying=True), "nose")
    from_top = number(disc, "cy") - number(nose, "y")
    from_left = number(disc, "cx") - number(nose, "x")
    assert (from_top / number(nose, "height"), from_left / number(nose, "width")) == pytest.approx(
        (0.5 / 4, 1 / 8), abs=0.01
    )


def test_pen_runs_dry() -> None:
    widths = [number(leg, "stroke-width") for leg in parts(table_svg(LAYOUT, "white", AROUND), "leg")]
    assert widths == pytest.approx([3.2, 2.78, 2.36, 1.94, 1.52])


def test_nothing_is_drawn_after_the_second_object_ball() -> None:
    longer = [*AROUND, {"rail": "bottom", "at": (1.0, 0.087)}]
    assert len(parts(table_svg(LAYOUT, "white", longer), "leg")) == 5


def test_second_line_is_dashed_and_numbered_in_squares() -> None:
    root = ElementTree.fromstring(table_svg(LAYOUT, "white", AROUND, AROUND[:3]))
    second = [g for g in root.iter() if g.get("class") == "line-b"]
    tags = {child.tag for g in second for child in g if child.get("class") == "number-mark"}
    dashes = {child.get("stroke-dasharray") for g in second for child in g if child.get("class") == "leg"}
    assert (tags, dashes) == ({"rect"}, {"7 5"})


def test_numbers_keep_clear_of_each_other() -> None:
    taken = [number_place({"rail": "left", "at": (0.087, 7.5)}, (1, 1), [], [])]
    other = number_place({"rail": "left", "at": (0.087, 7.45)}, (1, 1), taken, [])
    assert abs(other[1] - taken[0][1]) >= 0.34 * 0.95


def test_contacts_without_places_draw_no_line() -> None:
    svg = table_svg(LAYOUT, "white", [{"ball": "red"}, {"rail": "left"}])
    assert parts(svg, "leg") == []
    assert "Red, left" in svg


def test_line_of_an_unknown_cue_ball_is_left_out() -> None:
    assert parts(table_svg({"red": (1, 1)}, "white", AROUND), "leg") == []


def test_drawing_is_told_in_words() -> None:
    root = ElementTree.fromstring(table_svg(LAYOUT, "white", AROUND))
    label = root.get("aria-label", "")
    assert "White at 1.46, 1.28." in label
    assert "White plays." in label
    assert "Yellow, right, top, left, Red." in label


def test_label_is_escaped() -> None:
    root = ElementTree.fromstring(table_svg(label='"><script>'))
    assert root.get("aria-label") == '"><script>'


def test_no_style_attribute_is_needed() -> None:
    assert not re.search(r"\sstyle=", table_svg(LAYOUT, "white", AROUND, AROUND[:3], lying=True))


def test_contact_words_in_order() -> None:
    assert contact_words([{"ball": "red"}, {"rail": "top"}]) == ["Red", "top"]


@pytest.mark.parametrize("name", PATHS)
def test_symbol_is_hidden_from_screen_readers(name: str) -> None:
    assert ElementTree.fromstring(symbol_svg(name)).get("aria-hidden") == "true"


@pytest.mark.parametrize("colour", BALL_SIGNS)
def test_ball_mark_carries_its_colour(colour: str) -> None:
    assert f"ball-{colour}" in ElementTree.fromstring(ball_svg(colour)).get("class", "").split()


def test_unknown_symbol_is_refused() -> None:
    with pytest.raises(KeyError):
        symbol_svg("trophy")
