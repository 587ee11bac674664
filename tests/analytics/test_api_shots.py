"""Trying a stroke: anyone may, and every field is read with care."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.cache import cache

from analytics import kernels
from analytics.api.limits import VisitorShots
from analytics.table.parameters import NAMES, PRESETS
from analytics.table.shots import Strike, play_stroke
from analytics.tables import find_table
from scoring.rules.said import Malformed
from tests import cast

pytestmark = pytest.mark.django_db

LAYOUT = {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}
STRIKE = {"direction": 75.0, "speed": 3.0, "side": 0.2, "height": 0.1}
MISSING = object()


def send(body):
    text = body if isinstance(body, str) else json.dumps(body)
    return cast.client_for().post("/api/shots/", text, content_type="application/json")


def ask(**changes):
    body = {"layout": LAYOUT, "cue_ball": "white", "strike": STRIKE} | changes
    return send({name: value for name, value in body.items() if value is not MISSING})


def test_a_stranger_is_answered_what_the_simulator_says():
    answer = ask()
    assert answer.status_code == 200, answer.content
    told, shot = answer.json(), play_stroke(LAYOUT, "white", Strike(**STRIKE))
    assert set(told) == {"contacts", "rest", "duration", "ruling", "complete"}
    assert [one["t"] for one in told["contacts"]] == [met.t for met in shot.contacts]
    assert [one.get("ball") for one in told["contacts"]] == [met.contact.ball for met in shot.contacts]
    assert [one.get("rail") for one in told["contacts"]] == [met.contact.rail for met in shot.contacts]
    assert [tuple(one["at"]) for one in told["contacts"]] == [met.at for met in shot.contacts]
    assert len(told["contacts"]) > 3
    assert {name: tuple(at) for name, at in told["rest"].items()} == shot.rest
    assert told["duration"] == shot.duration
    assert told["ruling"] == shot.ruling.to_json()
    assert told["complete"] is True


def test_contacts_listed_are_judged_alike_by_the_rulings():
    told = ask().json()
    contacts = [
        {name: one[name] for name in ("ball", "rail", "tie") if name in one} for one in told["contacts"]
    ]
    body = {"discipline": "three-cushion", "cue_ball": "white", "contacts": contacts}
    answer = cast.client_for().post("/api/rulings/", json.dumps(body), content_type="application/json")
    assert answer.json() == told["ruling"]


def test_a_corner_is_a_tie_and_says_so():
    """From the middle of a diagonal into the corner: both rails at one instant."""
    layout = {"white": [2.0, 2.0], "yellow": [0.2, 7.0], "red": [3.7, 7.0]}
    contacts = ask(layout=layout, strike={"direction": -135.0, "speed": 4.0}).json()["contacts"]
    assert {contacts[0]["rail"], contacts[1]["rail"]} == {"left", "bottom"}
    assert "tie" not in contacts[0]
    assert contacts[1]["tie"] is True


def test_discipline_decides_how_many_cushions_are_required():
    assert ask().json()["ruling"]["required"] == 3
    assert ask(discipline="one-cushion").json()["ruling"]["required"] == 1


def test_side_and_height_may_be_left_out():
    bare = {"direction": 75.0, "speed": 3.0}
    assert ask(strike=bare).json() == ask(strike=bare | {"side": 0.0, "height": 0}).json()


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("layout", {"layout": MISSING}),
        ("layout", {"layout": None}),
        ("layout", {"layout": [1, 2]}),
        ("layout.red", {"layout": {"white": [1, 1], "yellow": [3, 2]}}),
        ("layout.red", {"layout": LAYOUT | {"red": None}}),
        ("layout.red", {"layout": LAYOUT | {"red": [1]}}),
        ("layout.red", {"layout": LAYOUT | {"red": [1, 2, 3]}}),
        ("layout.red", {"layout": LAYOUT | {"red": ["1", "2"]}}),
        ("layout.red", {"layout": LAYOUT | {"red": "12"}}),
        ("layout.red", {"layout": LAYOUT | {"red": [True, 2]}}),
        ("layout.red", {"layout": LAYOUT | {"red": [10**400, 2]}}),
        ("layout.red", {"layout": LAYOUT | {"red": [1e308, -1e308]}}),
        ("layout.red", {"layout": LAYOUT | {"red": [4.0, 2.0]}}),
        ("layout.yellow", {"layout": LAYOUT | {"yellow": [1.01, 1.02]}}),
        ("layout.green", {"layout": LAYOUT | {"green": [2, 2]}}),
        ("layout.?", {"layout": LAYOUT | {"\x01\ud800": [2, 2]}}),
        ("cue_ball", {"cue_ball": MISSING}),
        ("cue_ball", {"cue_ball": "red"}),
        ("cue_ball", {"cue_ball": None}),
        ("cue_ball", {"cue_ball": ["white"]}),
        ("cue_ball", {"cue_ball": "\ud800"}),
        ("strike", {"strike": MISSING}),
        ("strike", {"strike": "hard"}),
        ("strike.direction", {"strike": {"speed": 3.0}}),
        ("strike.direction", {"strike": STRIKE | {"direction": "75"}}),
        ("strike.direction", {"strike": STRIKE | {"direction": 1e300}}),
        ("strike.speed", {"strike": {"direction": 3.0}}),
        ("strike.speed", {"strike": STRIKE | {"speed": 0}}),
        ("strike.speed", {"strike": STRIKE | {"speed": -1}}),
        ("strike.speed", {"strike": STRIKE | {"speed": 12.0001}}),
        ("strike.speed", {"strike": STRIKE | {"speed": True}}),
        ("strike.speed", {"strike": STRIKE | {"speed": 10**400}}),
        ("strike.side", {"strike": STRIKE | {"side": 0.51}}),
        ("strike.side", {"strike": STRIKE | {"side": 0.4, "height": -0.4}}),
        ("strike.height", {"strike": STRIKE | {"height": None}}),
        ("strike.power", {"strike": STRIKE | {"power": 1}}),
        ("discipline", {"discipline": "darts"}),
        ("discipline", {"discipline": None}),
        ("discipline", {"discipline": "\ud800"}),
        ("paths", {"paths": "yes"}),
        ("paths", {"paths": 1}),
        ("speed", {"speed": 3.0}),
        ("table", {"table": "match"}),
        ("table", {"table": True}),
        ("table", {"table": 1.5}),
        ("table", {"table": [1]}),
        ("table", {"table": 999999}),
        ("table", {"table": 0}),
        ("table", {"table": 10**400}),
        ("table.id", {"table": {"id": 999999}}),
        ("table.id", {"table": {"id": "1"}}),
        ("table.size", {"table": {"size": "230"}}),
        ("table.overrides", {"table": {"overrides": [1]}}),
        ("table.overrides.cushion_friction", {"table": {"overrides": {"cushion_friction": 0.6}}}),
        ("table.overrides.cushion_friction", {"table": {"overrides": {"cushion_friction": "0.2"}}}),
        ("table.overrides.cushion_friction", {"table": {"overrides": {"cushion_friction": True}}}),
        ("table.overrides.radius", {"table": {"overrides": {"radius": 10**400}}}),
        ("table.overrides.radius", {"table": {"overrides": {"radius": None}}}),
        ("table.overrides.nose_height", {"table": {"overrides": {"radius": 0.04, "nose_height": 0.04}}}),
        ("table.overrides.grip", {"table": {"overrides": {"grip": 1}}}),
        ("table.overrides.?", {"table": {"overrides": {"\x01": 1}}}),
    ],
)
def test_a_field_out_of_shape_is_named(field, change):
    answer = ask(**change)
    assert answer.status_code == 400, answer.content
    assert list(answer.json()) == [field]
    (reason,) = answer.json()[field]
    assert reason.endswith((".", "]")) or "needed" in reason
    assert "valid" not in reason


@pytest.mark.parametrize(("number", "field"), [("1e999", "strike.speed"), ("NaN", "detail")])
def test_numbers_beyond_json_are_refused(number, field):
    answer = send(
        json.dumps({"layout": LAYOUT, "cue_ball": "white", "strike": STRIKE}).replace("3.0", number)
    )
    assert answer.status_code == 400
    assert list(answer.json()) == [field]


def test_several_fields_are_told_at_once():
    answer = ask(cue_ball="red", strike=STRIKE | {"speed": "fast"}, layout=LAYOUT | {"red": []})
    assert set(answer.json()) == {"cue_ball", "strike.speed", "layout.red"}
    assert list(send([1]).json()) == ["non_field_errors"]


# --- tables ------------------------------------------------------------------


def test_a_table_of_the_club_gives_the_preset_of_its_size():
    heated = cast.make_table()
    club = cast.make_table("Table 2", heated=False)
    small = cast.make_table("Table 3", size="230", heated=False)
    assert find_table(None) == find_table(heated.pk) == PRESETS["match-heated"]
    assert find_table(club.pk) == PRESETS["club"]
    assert find_table({"id": small.pk}) == PRESETS["small-230"]
    warm = find_table(cast.make_table("Table 4", size="210").pk)
    assert warm == PRESETS["small-210"].overridden({"cloth_rolling_friction": 0.006})


def test_own_overrides_come_before_those_asked_for():
    own = cast.make_table(overrides={"cushion_friction": 0.2, "ball_restitution": 0.94})
    found = find_table({"id": own.pk, "overrides": {"cushion_friction": 0.16}})
    assert (found.cushion_friction, found.ball_restitution) == (0.16, 0.94)
    assert ask(table=own.pk).json()["rest"] != ask().json()["rest"]
    assert ask(table={"overrides": {"cushion_friction": 0.18}}).json() == ask().json()
    everything = {name: getattr(PRESETS["club"], name) for name in NAMES}
    assert ask(table={"id": own.pk, "overrides": everything}).status_code == 200


def test_a_size_nobody_knows_asks_for_its_lengths():
    odd = cast.make_table(size="oval", heated=False)
    with pytest.raises(Malformed, match="table_length"):
        find_table(odd.pk)
    lengths = {"table_length": 2.54, "table_width": 1.27}
    assert find_table({"id": odd.pk, "overrides": lengths}) == PRESETS["club"].overridden(lengths)


def test_values_kept_with_a_table_that_cannot_be_used_are_told():
    worn = cast.make_table(overrides={"cushion_friction": 3})
    answer = ask(table=worn.pk)
    assert answer.status_code == 400
    assert "cushion_friction" in answer.json()["table"][0]


# --- limits and start-up -----------------------------------------------------


def test_a_visitor_who_tries_too_much_is_told_when_to_come_back(monkeypatch):
    monkeypatch.setattr(VisitorShots, "THROTTLE_RATES", {"shots": "2/min"})
    cache.clear()

    def asked(client):
        return client.post("/api/shots/", {}, format="json")

    visitor = cast.client_for()
    assert [asked(visitor).status_code for _ in range(3)] == [400, 400, 429]
    assert 0 < int(asked(visitor)["Retry-After"]) <= 60
    member = cast.client_for(cast.make_user())
    assert [asked(member).status_code for _ in range(3)] == [400] * 3
    # Its own count: rulings are not used up by strokes.
    assert visitor.post("/api/rulings/", {}, format="json").status_code == 400
    cache.clear()


def test_a_server_without_a_place_for_kernels_says_so(monkeypatch):
    def fail():
        raise kernels.NotReady

    monkeypatch.setattr(kernels, "load", fail)
    answer = ask()
    assert answer.status_code == 503
    assert "warm_kernels" in answer.json()["detail"]


def test_start_up_loads_no_compiler():
    probe = (
        "import django, sys; django.setup(); from django.urls import get_resolver; "
        "get_resolver().url_patterns; print({'numba', 'analytics.table.stroke'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", probe],
        cwd=settings.BASE_DIR,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout.strip()) == (0, "set()"), done.stderr


def test_paths_lead_from_the_layout_to_the_rest():
    told = ask(paths=True).json()
    assert set(told["paths"]) == {"white", "yellow", "red"}
    for ball, pieces in told["paths"].items():
        assert pieces[0][:3] == [0.0, *LAYOUT[ball]]
        assert pieces[-1][1:3] == pytest.approx(told["rest"][ball], abs=1e-9)
        assert pieces[-1][3:] == [0.0] * 4
        assert [piece[0] for piece in pieces] == sorted(piece[0] for piece in pieces)
