"""Regulations of a ranking, lots and prizes: forms without a script, and what the API answers."""

from __future__ import annotations

import pytest
from django.test import Client

from scoring.models import CompetitionEntry
from scoring.rules.event.ranks import drawn_order
from scoring.rules.event.regulations import Regulations
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def cup():
    return cast.make_competition(published=True, regulations={"order": ["match_points", "lot"]})


@pytest.fixture
def desk():
    client = Client()
    client.force_login(cast.make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def played(cup, white, yellow, *runs):
    match = opened(cast.make_match(white, yellow, competition=cup))
    innings(match, *runs)
    write(match, "confirm")
    return match


def settings(**changed):
    return {
        "order_0": "match_points", "order_1": "percentage", "win": 3, "draw": 1, "loss": 0,
        "counts_retired": "all", "counts_walkover": "match-points", "counts_award": "match-points",
        "counts_disqualified": "nothing", "absent": "nothing", "withdrawals": "annul", "scheme": "",
        "prize_high-run": "on", "least_high-run": 4, "rest_minutes": 15,
    } | changed  # fmt: skip


def test_regulations_are_chosen_on_a_page(cup, desk):
    address = f"/competitions/{cup.pk}/regulations/"
    assert 'name="order_6"' in desk.get(address).content.decode()
    assert desk.post(address, settings()).status_code == 302
    cup.refresh_from_db()
    assert cup.regulations == {
        "order": ["match_points", "percentage"],
        "win": 3,
        "counts": Regulations().counts | {"disqualified": "nothing"},
        "withdrawals": "annul",
        "prizes": [{"name": "high-run", "least_innings": 4}],
        "rest_minutes": 15,
    }
    again = desk.post(address, settings(order_1="match_points")).content.decode()
    assert "This criterion stands above already." in again
    own = settings(
        scheme="own", own_name="House points", own_win=5, percentage_of=10, average_compare="shown"
    )
    assert desk.post(address, own | {"average_win": 2}).status_code == 302
    cup.refresh_from_db()
    scheme = Regulations.stored(cup.regulations).points_scheme
    assert (scheme.win, scheme.percentage.of, scheme.own_average.compare) == (5, 10, "shown")
    page = desk.get(address).content.decode()
    assert "as it is now: House points" in page
    assert desk.post(address, settings(scheme="as-it-is")).status_code == 302
    cup.refresh_from_db()
    assert Regulations.stored(cup.regulations).points_scheme == scheme


def test_regulations_are_patched(cup):
    desk = cast.client_for(cast.make_organiser())
    address = f"/api/competitions/{cup.pk}/"
    told = desk.patch(address, {"regulations": {"restart": True, "order": None}}, format="json").json()
    assert told["regulations"]["restart"] is True
    assert told["regulations"]["order"] == ["match_points", "general_average", "high_run"]
    for wrong in (
        {"order": ["luck"]},
        {"luck": 1},
        {"points_scheme": {"code": "x"}},
        {"win": "2"},
        {"order": []},
    ):
        assert desk.patch(address, {"regulations": wrong}, format="json").status_code == 400, wrong
    cup.refresh_from_db()
    assert cup.regulations == {"restart": True}


def test_a_lot_is_drawn_by_a_seed_that_anybody_repeats(cup, desk):
    one, two, three = (cast.make_player(name) for name in ("Quendal", "Vilemeer", "Karnhof"))
    played(cup, one, two, 2, 2, 3, 3)
    played(cup, three, one, 2, 2, 3, 3)
    played(cup, two, three, 2, 2, 3, 3)
    standings = f"/competitions/{cup.pk}/standings/"
    assert "Quendal, Vilemeer and Karnhof wait for a lot." in desk.get(standings).content.decode()
    address = f"/competitions/{cup.pk}/lots/"
    do = "lot-" + "-".join(str(player.pk) for player in (one, two, three))
    assert "A seed is needed" in desk.post(address, {"do": do, "how": "seed"}).content.decode()
    assert desk.post(address, {"do": do, "how": "seed", "seed": "4711"}).status_code == 302
    order = drawn_order("4711", [three.pk, two.pk, one.pk])
    told = desk.get(f"/api/competitions/{cup.pk}/standings/").json()
    assert [row["player"] for row in told["rows"]] == order
    assert [row["separated_by"] for row in told["rows"]] == ["lot", "lot", None]
    page = desk.get(standings).content.decode()
    assert "drawn by the seed “4711”" in page
    assert "wait for a lot" not in page


def test_a_lot_by_hand_and_points_taken_and_given_back(cup, desk):
    one, two = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    played(cup, one, two, 2, 2, 3, 3)
    address = f"/competitions/{cup.pk}/lots/"
    lot = {"do": f"lot-{one.pk}-{two.pk}", "how": "hand", "place_0": two.pk}
    assert "Everybody stands in one place" in desk.post(address, lot).content.decode()
    assert desk.post(address, lot | {"place_1": one.pk}).status_code == 302
    assert CompetitionEntry.objects.get(kind="lot").data == {"players": [two.pk, one.pk]}
    taken = {"do": "deduct", "player": two.pk, "match_points": "0,5", "why": "late"}
    assert "to be mended" in desk.post(address, taken | {"match_points": "some"}).content.decode()
    assert desk.post(address, taken).status_code == 302
    page = desk.get(f"/competitions/{cup.pk}/standings/").content.decode()
    assert "Vilemeer: 1/2 off the match points. late" in " ".join(page.replace("</p>", " ").split())
    entry = CompetitionEntry.objects.get(kind="deduct").seq
    back = {"do": f"back-{entry}", "entry": entry, "why": "it was on time"}
    assert desk.post(address, back).status_code == 302
    assert desk.get(f"/api/competitions/{cup.pk}/standings/").json()["deductions"] == []


def test_prizes_by_rules_of_their_own(cup, desk):
    one, two = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    first = played(cup, one, two, 2, 1, 3, 1)
    played(cup, two, one, 1, 4, 4, 1)
    told = desk.get(f"/api/competitions/{cup.pk}/prizes/").json()["prizes"]
    assert [(prize["name"], prize["value"]) for prize in told] == [
        ("best-average", "2.500"), ("high-run", "4"), ("shortest-match", "2"),
    ]  # fmt: skip
    assert {won["player"] for won in told[1]["holders"]} == {one.pk, two.pk}
    assert first.pk in {won["match"] for won in told[0]["holders"]}
    page = desk.get(f"/competitions/{cup.pk}/prizes/").content.decode()
    assert "5 points in 2 innings" in page


def test_neighbours_are_compared_step_by_step(desk):
    cup = cast.make_competition()
    one, two, three = (cast.make_player(name) for name in ("Quendal", "Vilemeer", "Karnhof"))
    played(cup, one, two, 2, 1, 3, 1)
    played(cup, two, three, 1, 1, 2, 2, 2, 0)
    played(cup, three, one, 3, 2, 2, 2)
    page = " ".join(desk.get(f"/competitions/{cup.pk}/standings/").content.decode().split())
    assert "2 and 2, equal" in page
    assert "9 × 5 = 45 against 8 × 4 = 32" in page
    assert "not needed" in page
    assert all(f"bracket-{part}" in page for part in ("top", "on", "end"))
