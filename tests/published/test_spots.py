"""Which ball goes on which spot. Three-cushion off the table: four national texts; frozen: two
national tournament texts; other games: federation handbook, Norwegian federation art. 27."""

import pytest

from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.spots import opening_position, spot_frozen, spot_off_table, spot_positions

THREE = DISCIPLINES["three-cushion"]
TOP, CENTRE, BOTTOM = (2, 6), (2, 4), (2, 2)
FAR = {"white": (0.5, 1), "yellow": (3.5, 7), "red": (0.4, 7.4)}

OFF_TABLE = [
    pytest.param("white", ["white"], {}, {"white": "centre"}, id="seen: white played and off"),
    pytest.param(
        "white", ["yellow"], {}, {"yellow": "bottom"}, id="seen: the ball of the player now on turn off"
    ),
    pytest.param("white", ["red"], {}, {"red": "top"}, id="seen: red off"),
    pytest.param("yellow", ["yellow"], {}, {"yellow": "centre"}, id="seen: yellow played and off"),
    pytest.param("yellow", ["white"], {}, {"white": "bottom"}, id="seen: yellow played, white off"),
    pytest.param(
        "white",
        ["red"],
        {"yellow": TOP},
        {"red": "bottom"},
        id="derived: top blocked by the next player's ball",
    ),
    pytest.param("white", ["white"], {"red": CENTRE}, {"white": "top"}, id="derived: centre blocked by red"),
    pytest.param(
        "white", ["red"], {"white": TOP}, {"red": "centre"}, id="derived: top blocked by the ball just played"
    ),
    pytest.param(
        "white", ["red"], {"yellow": TOP, "white": BOTTOM}, {"red": "centre"}, id="derived: a chain of two"
    ),
    pytest.param(
        "white",
        ["red"],
        {"yellow": (2.12, 6.12)},
        {"red": "bottom"},
        id="derived: top masked, less than a ball away",
    ),
    pytest.param(
        "white",
        ["red"],
        {"yellow": (2.13, 6.13)},
        {"red": "top"},
        id="derived: a whole ball away blocks nothing",
    ),
    pytest.param(
        "white",
        ["white", "red"],
        {"yellow": CENTRE},
        {"red": "top", "white": "bottom"},
        id="derived: two off, centre blocked",
    ),
    pytest.param(
        "white",
        ["white", "red"],
        {"yellow": TOP},
        {"red": "bottom", "white": "centre"},
        id="derived: two off, red first",
    ),
    pytest.param(
        "white",
        ["yellow", "red"],
        {"white": TOP},
        {"red": "centre", "yellow": "bottom"},
        id="derived: two off, top blocked",
    ),
    pytest.param(
        "white",
        ["white", "yellow"],
        {"red": BOTTOM},
        {"white": "centre", "yellow": "top"},
        id="derived: both cue balls off",
    ),
    pytest.param(
        "white",
        ["white", "yellow", "red"],
        {},
        {"red": "top", "white": "centre", "yellow": "bottom"},
        id="seen: all three off",
    ),
]


@pytest.mark.parametrize(("played", "off", "lying", "spots"), OFF_TABLE)
def test_three_cushion_off_the_table(played, off, lying, spots):
    layout = {ball: at for ball, at in (FAR | lying).items() if ball not in off}
    spotting = spot_off_table(THREE, off, played=played, layout=layout)
    assert spotting.spots == spots
    assert spotting.positions == {ball: spot_positions()[spot] for ball, spot in spots.items()}


def test_the_spotting_is_explained():
    spotting = spot_off_table(THREE, ["red"], played="white", layout={"yellow": TOP})
    assert [str(text) for text in spotting.why] == [
        "the top spot is taken by Yellow",
        "Red goes to the bottom spot",
    ]


FROZEN = [
    pytest.param(
        "white", ["red"], {}, {"white": "bottom", "red": "top"}, id="seen: frozen to red, yellow stays"
    ),
    pytest.param(
        "white", ["yellow"], {}, {"white": "bottom", "yellow": "centre"}, id="seen: frozen to the other ball"
    ),
    pytest.param(
        "white",
        ["red", "yellow"],
        {},
        {"white": "bottom", "red": "top", "yellow": "centre"},
        id="seen: frozen to both",
    ),
    pytest.param("yellow", ["white"], {}, {"yellow": "bottom", "white": "centre"}, id="seen: yellow on turn"),
    pytest.param(
        "white", ["red"], {"yellow": TOP}, {"white": "bottom", "red": "centre"}, id="derived: top blocked"
    ),
    pytest.param(
        "white", ["red"], {"yellow": BOTTOM}, {"red": "top", "white": "centre"}, id="derived: bottom blocked"
    ),
    pytest.param(
        "white",
        ["yellow"],
        {"red": CENTRE},
        {"white": "bottom", "yellow": "top"},
        id="derived: centre blocked",
    ),
]


@pytest.mark.parametrize(("on_turn", "frozen", "lying", "spots"), FROZEN)
def test_three_cushion_frozen(on_turn, frozen, lying, spots):
    assert spot_frozen(THREE, frozen, on_turn=on_turn, layout=FAR | lying).spots == spots


def test_three_cushion_frozen_unasked_stays():
    """Two national tournament texts: the striker may also play away from it."""
    assert spot_frozen(THREE, ["red"], on_turn="white", asked=False).spots == {}


@pytest.mark.parametrize("code", ["straight-rail", "one-cushion"])
def test_other_games_off_the_table_open_anew(code):
    """Federation handbook: all three to the opening position for the player now on turn."""
    spots = spot_off_table(DISCIPLINES[code], ["red"], played="white").spots
    assert spots == {"red": "top", "white": "bottom", "yellow": "start-right"}


def test_straight_rail_frozen_always_opens_anew():
    """Norwegian federation, art. 27 (excerpt)."""
    spots = spot_frozen(DISCIPLINES["straight-rail"], ["red"], on_turn="white", asked=False).spots
    assert spots == {"red": "top", "yellow": "bottom", "white": "start-right"}


@pytest.mark.parametrize(
    ("asked", "spots"), [(False, {}), (True, {"red": "top", "yellow": "bottom", "white": "start-right"})]
)
def test_one_cushion_frozen_is_the_players_choice(asked, spots):
    """Norwegian federation, art. 27 (excerpt)."""
    assert spot_frozen(DISCIPLINES["one-cushion"], ["red"], on_turn="white", asked=asked).spots == spots


def test_opening_position():
    """World rules of carom billiard, art. 23."""
    assert opening_position("yellow", "left").spots == {
        "red": "top",
        "white": "bottom",
        "yellow": "start-left",
    }


def test_spots_in_millimetres():
    """National federation drawings; 182.5 mm beside the bottom spot is from memory, 183 is seen."""
    drawn = {
        "bottom": (710, 710),
        "start-left": (527.5, 710),
        "start-right": (892.5, 710),
        "centre": (710, 1420),
        "top": (710, 2130),
    }
    spots = {name: (x * 355, y * 355) for name, (x, y) in spot_positions().items()}
    assert spots == {name: pytest.approx(at, abs=1e-9) for name, at in drawn.items()}
    assert spot_positions(1830)["start-left"][0] * 355 == pytest.approx(527)
