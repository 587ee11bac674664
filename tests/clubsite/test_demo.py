"""The demo club: written through the ledger, once, and never over a real club."""

import io
import json
import runpy
import sys
from collections import Counter
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.forms.models import model_to_dict

from analytics import kernels
from clubsite import serving
from clubsite.demo import club, events, fixture, replay, season
from scoring import ledger
from scoring.models import (
    Club,
    Competition,
    EntryText,
    Match,
    MatchEntry,
    MatchProjection,
    Player,
    RefusedEntry,
    StrokeProjection,
)
from scoring.rebuilding import do_rebuild
from scoring.rules.families import FAMILIES
from tests import cast

pytestmark = pytest.mark.django_db
FOLDER = Path(settings.BASE_DIR)
FEW = ("group-b-tellgard-oudewaal", "sets", "tonight-1", "tonight-2", "later-1")


@pytest.fixture
def few(monkeypatch):
    """Return the demo with a few of its matches, without season and events, for what needs no more."""
    monkeypatch.setattr(season, "read", lambda: {"matches": []})
    monkeypatch.setattr(events, "read", dict)
    told = fixture.read()
    return told | {"matches": [match for match in told["matches"] if match["code"] in FEW]}


def set_up(told, progress=lambda done, of: None) -> int:
    return replay.do_replay(club.do_set_up(told), told, progress)


def everything() -> dict[str, list]:
    """Return every row that the demo makes or causes."""
    kinds = (Club, Player, Competition, Match, MatchEntry, EntryText, MatchProjection, StrokeProjection)
    return {kind.__name__: [model_to_dict(row) for row in kind.objects.order_by("pk")] for kind in kinds}


def expected_entries(told) -> int:
    return sum(len(list(fixture.spelt_out(match["entries"]))) for match in told["matches"])


def test_whole_demo_is_what_it_promises_and_equals_a_rebuild() -> None:
    told = fixture.read()
    assert set_up(told) == expected_entries(told) == MatchEntry.objects.count()
    assert not RefusedEntry.objects.exists()
    statuses = Counter(MatchProjection.objects.values_list("status", flat=True))
    assert statuses == {"confirmed": 20, "over": 1, "playing": 3, "planned": 2}
    states = [one.state for one in MatchProjection.objects.filter(status="confirmed")]
    assert [flag["code"] for state in states for flag in state["flags"]] == ["ruling"]
    assert [flag["code"] for state in states for flag in state["settled"]] == ["ruling"]
    assert {state["ended_by"] for state in states} == {"distance", "concession", "sets", "extra", "limit"}
    assert sum(state["winner"] is None for state in states) == 1
    for pk in Match.objects.values_list("pk", flat=True):
        assert do_rebuild(pk) == []


def test_described_points_are_of_every_family_and_all_but_the_flagged_are_valid() -> None:
    set_up(fixture.read())
    points = StrokeProjection.objects.filter(kind="point", match__discipline_code="three-cushion")
    made = set(points.filter(ruling_valid=True).values_list("family_made", flat=True))
    long_ones = {
        "bank", "umbrella", "ticky", "rail-first", "five-and-more", "around-the-table", "short-around",
        "double-rail", "cross-table", "end-to-end", "short-angle", "long-angle",
    }  # fmt: skip
    assert made == long_ones <= set(FAMILIES)
    assert sorted(points.filter(ruling_valid=False).values_list("cushions", flat=True)) == [2, 2]
    assert StrokeProjection.objects.filter(kind="miss", family_tried__isnull=False).exists()


def test_figures_are_those_of_a_club() -> None:
    set_up(fixture.read())
    for one in MatchProjection.objects.filter(status="confirmed", match__discipline_code="three-cushion"):
        for side in ("white", "yellow"):
            state = one.state
            assert 0.4 <= state["points"][side] / state["innings"][side] <= 1.6
            assert 3 <= state["high_run"][side] <= 9


def test_second_run_changes_nothing(few) -> None:
    set_up(few)
    before = everything()
    assert set_up(few) == 0
    assert everything() == before
    assert not RefusedEntry.objects.exists()


def test_interrupted_run_is_completed(few) -> None:
    class Stopped(Exception):
        pass

    def stop(done: int, of: int) -> None:
        if done == 2:
            raise Stopped

    with pytest.raises(Stopped):
        set_up(few, stop)
    begun = MatchEntry.objects.count()
    assert 0 < begun < expected_entries(few)
    assert set_up(few) == expected_entries(few) - begun
    assert MatchEntry.objects.count() == expected_entries(few)


def test_run_interrupted_amid_a_match_is_completed(few) -> None:
    demo = club.do_set_up(few)
    row = few["matches"][0]
    sent = fixture.entries_of(row, demo.player_ids, demo.now, demo.zone)[:7]
    ledger.append_list(demo.matches[row["code"]].pk, sent, ledger.Author(user_id=demo.users["referee"].pk))
    assert set_up(few) == expected_entries(few) - 7


def test_what_people_wrote_since_stays(few) -> None:
    set_up(few)
    match = Match.objects.get(uuid=fixture.named("match", "tonight-1"))
    seq = match.projection.seq
    entry = {"uuid": str(fixture.named("entry", "mine")), "after": seq, "kind": "inning", "run": 1}
    ledger.append(match.pk, entry, ledger.Author(user_id=cast.make_user().pk))
    Player.objects.get(uuid=fixture.named("player", "quendal")).erase_name()
    assert set_up(few) == 0
    assert match.entries.count() == seq + 1
    assert Player.objects.get(uuid=fixture.named("player", "quendal")).name_or_none is None


def test_every_entry_has_the_referee_as_author_and_a_proved_row(few) -> None:
    set_up(few)
    assert set(MatchEntry.objects.values_list("author_user__username", flat=True)) == {"referee"}
    assert set(MatchEntry.objects.values_list("offline", "misdated")) == {(True, False)}
    assert not MatchEntry.objects.filter(fingerprint="").exists()
    assert not MatchEntry.objects.filter(device_time__isnull=True).exists()


def test_only_the_ledger_is_asked_to_write() -> None:
    """Neither the rows of the ledger nor its projections are named where the demo is made."""
    for path in (FOLDER / "clubsite" / "demo").glob("*.py"):
        text = path.read_text()
        for name in ("MatchEntry", "MatchProjection", "StrokeProjection", "projecting", "records"):
            assert name not in text, f"{path.name} names {name}"


def test_nothing_is_dated_ahead_of_the_demo(few) -> None:
    demo = club.do_set_up(few)
    for row in few["matches"]:
        sent = fixture.entries_of(row, demo.player_ids, demo.now, demo.zone)
        moments = [entry["device_time"] for entry in sent]
        assert moments == sorted(moments)
    replay.do_replay(demo, few)
    assert not MatchEntry.objects.filter(device_time__gt=demo.now).exists()


@pytest.mark.parametrize("make", [cast.make_user, cast.make_player, cast.make_table, cast.make_competition])
def test_real_club_is_refused_and_left_alone(few, make) -> None:
    make()
    with pytest.raises(club.ForeignClub):
        club.do_set_up(few)
    assert Match.objects.count() == 0


def test_second_club_beside_the_demo_is_refused(few) -> None:
    club.do_set_up(few)
    Club.objects.create(name="Another")
    with pytest.raises(club.ForeignClub):
        club.do_set_up(few)


def test_empty_club_of_a_site_that_was_looked_at_becomes_the_demo(few) -> None:
    Club.objects.the_first()
    club.do_set_up(few)
    assert [one.name for one in Club.objects.all()] == ["Lantern Street"]


def test_entry_that_is_not_accepted_is_told(few) -> None:
    row = few["matches"][0]
    unfinished = row | {"entries": [row["entries"][0], {"kind": "confirm"}]}
    broken = few | {"matches": [unfinished, *few["matches"][1:]]}
    with pytest.raises(replay.NotAccepted, match="not over yet"):
        set_up(broken)


def test_command_tells_where_to_look_and_how_to_sign_in(few, monkeypatch) -> None:
    monkeypatch.setattr(serving, "prepare", lambda: None)
    monkeypatch.setattr(fixture, "read", lambda: few)
    told = io.StringIO()
    call_command("demo", "--no-serve", "--port", "8123", stdout=told)
    assert "http://localhost:8123/" in told.getvalue()
    for row in few["users"]:
        assert row["name"] in told.getvalue()
        assert row["password"] in told.getvalue()


def test_demo_prepares_the_simulator_and_goes_on_without_it(few, monkeypatch) -> None:
    monkeypatch.setattr(serving, "prepare", lambda: None)
    monkeypatch.setattr(fixture, "read", lambda: few)
    monkeypatch.setattr(kernels, "do_warm", lambda: None)
    told, complained = io.StringIO(), io.StringIO()
    call_command("demo", "--no-serve", stdout=told, stderr=complained)
    assert told.getvalue().rstrip().endswith("ready after 0.0 s.")

    def fail() -> None:
        raise kernels.NotReady

    monkeypatch.setattr(kernels, "do_warm", fail)
    call_command("demo", "--no-serve", stdout=told, stderr=complained)
    assert "NUMBA_CACHE_DIR" in complained.getvalue()


def test_printed_passwords_let_everybody_in(few, client) -> None:
    set_up(few)
    for row in few["users"]:
        answer = client.post("/sign-in/", {"username": row["name"], "password": row["password"]})
        assert answer.status_code == 302
        client.post("/sign-out/")


def test_changed_password_is_not_printed(few, monkeypatch) -> None:
    monkeypatch.setattr(serving, "prepare", lambda: None)
    monkeypatch.setattr(fixture, "read", lambda: few)
    demo = club.do_set_up(few)
    demo.users["organiser"].set_password("known to one alone")
    demo.users["organiser"].save()
    told = io.StringIO()
    call_command("demo", "--no-serve", stdout=told)
    assert "lantern-organiser" not in told.getvalue()
    assert "(changed since)" in told.getvalue()


def test_command_refuses_a_real_club_in_one_sentence(few, monkeypatch) -> None:
    monkeypatch.setattr(serving, "prepare", lambda: None)
    cast.make_player()
    with pytest.raises(CommandError, match="holds a club of its own, so nothing was changed"):
        call_command("demo", "--no-serve", stdout=io.StringIO())


def test_taken_port_is_told_before_anything_is_written(monkeypatch) -> None:
    monkeypatch.setattr(serving, "is_free", lambda number: False)
    with pytest.raises(CommandError, match="--port 8124"):
        call_command("demo", "--port", "8123", stdout=io.StringIO())
    assert not Club.objects.exists()


def test_file_is_what_its_maker_writes(monkeypatch) -> None:
    monkeypatch.setattr(sys, "path", [str(FOLDER / "fixtures"), *sys.path])
    maker = runpy.run_path(str(FOLDER / "fixtures" / "make_demo_club.py"))
    text = maker["written"](maker["club"]())
    assert text == fixture.PATH.read_text(encoding="utf-8")
    assert json.loads(text) == maker["club"]()
