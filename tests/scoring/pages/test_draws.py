"""The pages of entrants, stages, draws, brackets and groups, used without a script."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from scoring.conducting import do_record, read_state
from scoring.drawing import Asked, do_draw, do_make_stage
from scoring.entering import do_enter
from scoring.models import CompetitionEntry, Group, Match
from scoring.pages.history_words import _sentences
from scoring.rules.event import kinds
from scoring.stages import read_stages
from scoring.standing import read_group_standings, read_standings
from tests import cast
from tests.scoring.event.playing import ORGANISER as ME
from tests.scoring.event.playing import begin, result, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def client():
    signed_in = Client()
    signed_in.force_login(cast.make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return signed_in


def people(count: int) -> list[int]:
    return [cast.make_player(f"Player{number}").pk for number in range(count)]


def at(cup, name: str, query: str = "") -> str:
    return reverse(f"competition-{name}", args=[cup.pk]) + query


def test_players_are_entered_ticked_off_and_seeded(client, cup):
    one, two, three = people(3)
    client.post(at(cup, "entrants"), {"what": "enter", "players": [one, two, three]})
    client.post(at(cup, "entrants"), {"what": "present", "player": two})
    client.post(at(cup, "entrants"), {"what": "by-hand", f"seed-{three}": "1", f"seed-{one}": "2"})
    entrants = read_state(cup)["entrants"]
    assert [entrants[str(pk)]["status"] for pk in (one, two)] == ["entered", "present"]
    assert [entrants[str(pk)]["seed"] for pk in (one, two, three)] == [2, None, 1]
    client.post(at(cup, "entrants"), {"what": "by-average"})
    assert [read_state(cup)["entrants"][str(pk)]["seed"] for pk in (one, two, three)] == [1, 2, 3]
    page = client.get(at(cup, "entrants")).content.decode()
    assert "Ada Player2" in page


def test_the_form_sent_twice_enters_once(client, cup):
    (one,) = people(1)
    once = "6f1c2f0e-93b5-4a44-9d0c-7e0a4d1d4a11"
    for _ in range(2):
        client.post(at(cup, "entrants"), {"what": "enter", "players": [one], "once": once})
    assert CompetitionEntry.objects.count() == 1


def test_a_draw_is_looked_at_and_then_made(client, cup):
    players = people(5)
    do_enter(cup, players, ME)
    client.post(at(cup, "stages"), {"kind": "knockout", "name": "Cup"})
    stage = read_stages(cup)[0].stage.pk
    form = {"way": "lots", "seed": "", "apart": "", "distance": "5"}
    form |= {f"place-{pk}": str(place) for place, pk in enumerate(players, 1)}
    address = at(cup, "draw", f"?stage={stage}")
    assert "a seed is needed" in client.post(address, form | {"what": "preview"}).content.decode().lower()
    page = client.post(address, form | {"what": "preview", "seed": "17"}).content.decode()
    assert "So it would be drawn" in page
    assert not Match.objects.exists()
    made = client.post(address, form | {"what": "draw", "seed": "17"})
    assert made.status_code == 302
    assert Match.objects.filter(format__distance=[5, 5]).count() == 2
    drawn = client.get(at(cup, "drawn", f"?stage={stage}")).content.decode()
    assert "sha256sum" in drawn
    assert "Final" in client.get(at(cup, "bracket")).content.decode()
    assert "Take the draw back" in client.get(at(cup, "stages")).content.decode()
    client.post(at(cup, "stages"), {"what": "undraw", "stage": stage})
    assert not Match.objects.exists()


def test_who_goes_on_from_groups_is_proposed(client, cup):
    players = people(6)
    drawn = do_draw(cup, Asked("round-robin", players, groups=2, format={"distance": [5, 5]}), ME)
    for _round in range(3):
        for match in Match.objects.filter(projection__status="planned"):
            result(match, min(match.entrant_ids))
    stage = do_make_stage(cup, "knockout", "", ME)
    query = f"?stage={stage.pk}&from={drawn.stage.stage.pk}&take=1"
    listed = client.get(at(cup, "draw", query)).context["players"]
    assert {one["player"] for one in listed if one["place"]} == {players[0], players[1]}
    do_record(cup, "deduct", {"player": players[2], "match_points": "1", "why": "late"}, ME)
    tables = read_group_standings(cup)
    for row in Group.objects.all():
        assert tables[row.pk].ranked == read_standings(cup, group=row).ranked
    assert "Group B" in client.get(at(cup, "groups")).content.decode()


def test_a_bracket_is_unlocked_visibly(client, cup):
    a, b, c, d = people(4)
    do_draw(cup, Asked("knockout", [a, b, c, d], format={"distance": [5, 5]}), ME)
    first, second = Match.objects.order_by("tie")
    result(first, a)
    result(second, b)
    begin(Match.objects.get(tie=3))
    write(
        first, {"kind": "result", "outcome": "award", "player": d, "why": "miscounted"}, {"kind": "confirm"}
    )
    stage = read_stages(cup)[0].stage.pk
    assert "Unlock the bracket" in client.get(at(cup, "bracket")).content.decode()
    assert client.post(at(cup, "bracket"), {"stage": stage, "why": ""}).status_code == 200
    assert client.post(at(cup, "bracket"), {"stage": stage, "why": "Miscounted."}).status_code == 302
    cup.published = True
    cup.save()
    page = cast.client_for().get(at(cup, "bracket")).content.decode()
    assert "Unlocked for a corrected result" in page
    assert "Miscounted." not in page
    history = client.get(at(cup, "history")).content.decode()
    assert "Miscounted." in history
    assert "is set aside" in history


def test_a_drawn_tie_says_that_extra_innings_decide(client, cup):
    a, b = people(2)
    do_draw(cup, Asked("knockout", [a, b], format={"distance": [5, 5]}), ME)
    final = Match.objects.get()
    totals = {"score": {"white": 2, "yellow": 2}, "innings": {"white": 1, "yellow": 1}, "why": "sheet"}
    write(
        final,
        {"kind": "open", "starter": a, "decided_by": "lag"},
        {"kind": "result", "outcome": "played"} | totals,
    )

    def says(address: str, words: str) -> None:
        assert words in client.get(address).content.decode(), address

    own = reverse("match", args=[final.pk])
    for address, words in (
        (at(cup, "bracket"), "drawn: extra innings are to be played"),
        (at(cup, "day"), "drawn, needs extra innings"),
        (own, "extra innings decide who goes on"),
        (reverse("match-score", args=[final.pk]), "In a knock-out extra innings decide"),
    ):
        says(address, words)
    write(final, {"kind": "confirm"})
    says(own, "nobody goes on until")
    says(at(cup, "day"), "it was confirmed, and nobody goes on")
    says(at(cup, "bracket"), "confirmed: let it be played on")

    # The confirmation is struck out with a reason, and the extra innings are played.
    result_page = reverse("match-result", args=[final.pk])
    assert "This is needed" in client.post(result_page, {"act": "play-on"}).content.decode()
    assert client.post(result_page, {"act": "play-on", "why": "confirmed too early"}).status_code == 302
    says(own, "Play them before the match is confirmed")
    assert "played on" not in client.get(result_page).content.decode()
    write(final, {"kind": "extra"}, {"kind": "inning", "run": 1})
    says(at(cup, "bracket"), "extra innings")
    write(final, {"kind": "inning", "run": 0}, {"kind": "confirm"})
    assert read_stages(cup)[0].fixtures[0].winner == a
    assert "Drawn" not in client.get(at(cup, "bracket")).content.decode()


def test_one_leaves_comes_back_and_hands_the_seat_on(client, cup):
    a, b, c, d, late = people(5)
    do_draw(cup, Asked("knockout", [a, b, c, d], format={"distance": [5, 5]}), ME)
    do_enter(cup, [late], ME, reserve=True)
    stage = read_stages(cup)[0].stage.pk
    begin(Match.objects.get(tie=1))
    address = at(cup, "entrant", f"?player={b}")
    assert "walkover" in client.get(address).content.decode()
    assert client.post(address, {"what": "status", "kind": "withdraw", "annul": "keep"}).status_code == 200
    seat = {"what": "seat", "stage": stage, "by": late}
    assert client.post(at(cup, "entrant", f"?player={c}"), seat).status_code == 302
    assert Match.objects.get(tie=2).entrant_ids == (b, late)
    told = {"what": "status", "kind": "withdraw", "annul": "keep", "why": "ill"}
    assert client.post(address, told).status_code == 302
    assert Match.objects.get(tie=2).projection.winner_id == late
    assert client.post(address, {"what": "status", "why": "better"}).status_code == 302
    assert Match.objects.get(tie=2).projection.status == "planned"


def test_a_club_evening_is_written_match_by_match(client, cup):
    one, two = people(2)
    client.post(at(cup, "stages"), {"kind": "series"})
    stage = read_stages(cup)[0].stage.pk
    same = client.post(at(cup, "groups"), {"stage": stage, "first": one, "second": one})
    assert "Two different players are needed" in same.content.decode()
    client.post(at(cup, "groups"), {"stage": stage, "first": one, "second": two})
    assert Match.objects.get().entrant_ids == (one, two)


def test_every_kind_of_entry_has_a_sentence():
    # Those that are told with more than names have a sentence of their own.
    assert set(kinds.KINDS) - set(_sentences()) == {"enter", "pair", "draw", "unlock"}
