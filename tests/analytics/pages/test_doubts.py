"""Entries that can hardly be right: each asked about with its reason, and kept in every figure."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from analytics import doubting, upkeep
from analytics.models import Doubt, ScannedMatch
from clubsite.models import User
from scoring import ledger
from scoring.ledger import Author
from scoring.models import ImportBatch, MatchProjection
from tests.cast import client_for, make_match, make_organiser, make_player, make_table, make_user
from tests.scoring.pages.writing import ORGANISER, opened, write
from tests.scoring.test_query_counts import asked, counted

pytestmark = pytest.mark.django_db


@pytest.fixture
def organiser(client):
    client.force_login(make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def players(db):
    return make_player("Quendal"), make_player("Vilemeer")


def a_match(one, two, *runs, distance=90, **fields):
    """Write a sheet of whole innings, conceded at its end, and confirm it."""
    match = opened(make_match(one, two, distance=(distance, distance), **fields), one.pk)
    sent = [{"kind": "inning", "run": run} for run in runs] + [{"kind": "concede", "player": two.pk}]
    sent = [{"after": 1, "uuid": str(uuid.uuid4()), **row} for row in sent]
    assert {row.status for row in ledger.append_list(match.pk, sent, ORGANISER)[0]} == {"stored"}
    write(match, "confirm")
    return match


def doubts(user, **query):
    return client_for(user).get("/api/doubts/", query).json()


def kinds(found):
    return [(one["match"], one["kind"]) for one in found["doubts"]]


def test_a_run_that_the_earlier_matches_make_hard_to_believe(players, organiser):
    one, two = players
    for more in range(3):
        a_match(one, two, *[0, 1, 1, 0] * 10, more, 0)
    odd = a_match(one, two, 24, 0)
    found = doubts(make_organiser())
    assert (odd.pk, "run") in kinds(found)
    assert {match for match, _ in kinds(found)} == {odd.pk}
    (run,) = [row for row in found["doubts"] if row["kind"] == "run"]
    assert (run["about"], run["certain"]) == (one.pk, False)
    assert run["chance"] < 1e-4
    text = organiser.get(reverse("doubts")).content.decode()
    assert "A run of 24" in text
    assert reverse("match-sheet", args=[odd.pk]) in text
    # It stays in every figure.
    report = client_for(make_organiser()).get(f"/api/players/{one.pk}/report/").json()
    assert report["high_run"] == 24


def test_usual_sheets_raise_nothing(players, organiser):
    one, two = players
    for _ in range(2):
        a_match(one, two, 0, 1, 2, 0, 1, 1, 3)
    assert doubts(make_organiser())["doubts"] == []
    assert "Nothing here needs a question." in organiser.get(reverse("doubts")).content.decode()


def test_a_sheet_written_twice(players):
    one, two = players
    runs = [0, 3, 1, 0, 2, 2, 0, 1, 5, 0] * 3
    first = a_match(one, two, *runs)
    again = a_match(one, two, *runs)
    assert (again.pk, "twice") in kinds(doubts(make_organiser()))
    assert (first.pk, "twice") not in kinds(doubts(make_organiser()))


def timed(match, *entries, start=None, author=ORGANISER):
    """Write (seconds, kind, fields) by the clock of a device."""
    begun = start or timezone.now() - datetime.timedelta(minutes=50)
    for seconds, kind, *fields in entries:
        moment = (begun + datetime.timedelta(seconds=seconds)).isoformat(timespec="milliseconds")
        write(match, kind, author, device_time=moment, offline=True, **(fields[0] if fields else {}))


def quick(one, two, last=40):
    """Return a match that is over, of which one stroke came a second after the one before."""
    match = opened(make_match(one, two, distance=(2, 2)), one.pk)
    timed(match, (0, "point"), (1, "point"), (last, "miss"))
    return match


def test_strokes_faster_than_they_can_be_played(players):
    match = quick(*players)
    (found,) = doubts(make_organiser())["doubts"]
    assert (found["match"], found["kind"], found["certain"]) == (match.pk, "too-fast", False)
    assert Doubt.objects.get().places == [3]


def test_a_stroke_put_in_later_was_not_played_then(players):
    one, two = players
    match = opened(make_match(one, two, distance=(2, 2)), one.pk)
    timed(match, (0, "point"), (60, "miss"), (100, "miss"))
    timed(match, (101, "point", {"before": 3}))
    assert MatchProjection.objects.get(match=match).status == "over"
    # The stroke out of turn is flagged; nothing was too fast.
    assert kinds(doubts(make_organiser())) == [(match.pk, "flags")]


def test_a_player_at_two_tables_at_once(players):
    one, two = players
    three = make_player("Astavik")
    tables = make_table("Table 1"), make_table("Table 2")
    both = [
        opened(make_match(one, other, distance=(2, 2), table=table), one.pk)
        for other, table in zip((two, three), tables, strict=True)
    ]
    start = timezone.now() - datetime.timedelta(minutes=50)
    for at, match in enumerate(both):
        entries = [(200 * at + 300 * more, "miss") for more in range(4)]
        timed(
            match, *entries, (200 * at + 1200, "inning", {"run": 2}), (200 * at + 1250, "miss"), start=start
        )
    (found,) = doubts(make_organiser())["doubts"]
    assert (found["match"], found["kind"], found["other"]) == (both[1].pk, "two-tables", both[0].pk)
    assert (found["about"], found["certain"]) == (one.pk, True)


def test_a_match_that_paused_leaves_its_players_free(players):
    one, two = players
    tables = make_table("Table 1"), make_table("Table 2")
    start = timezone.now() - datetime.timedelta(minutes=200)
    paused, between = (opened(make_match(one, two, distance=(2, 2), table=table), one.pk) for table in tables)
    timed(paused, (0, "miss"), (300, "miss"), (9000, "inning", {"run": 2}), (9300, "miss"), start=start)
    timed(between, (2000, "miss"), (2400, "miss"), (2800, "inning", {"run": 2}), (3000, "miss"), start=start)
    assert doubts(make_organiser())["doubts"] == []


def test_totals_that_contradict_themselves(players):
    one, two = players
    match = opened(make_match(one, two, distance=(30, 30)), one.pk)
    write(
        match,
        "result",
        outcome="played",
        score={"white": 30, "yellow": 12},
        innings={"white": 20, "yellow": 20},
        high_run={"white": 1, "yellow": 3},
        source="club book",
    )
    assert (match.pk, "high-run") in kinds(doubts(make_organiser()))


def test_what_is_right_is_asked_no_more_until_it_changes(players, organiser):
    match = quick(*players, last=2)
    user = User.objects.get(pk=organiser.session["_auth_user_id"])
    organiser.get(reverse("doubts"))
    doubt = Doubt.objects.get()
    answer = organiser.post(reverse("doubts") + "?show=all", {"doubt": doubt.pk, "act": "right"})
    assert answer.url == reverse("doubts") + "?show=all"
    assert "Nothing here needs a question." in organiser.get(reverse("doubts")).content.decode()
    text = organiser.get(answer.url).content.decode()
    assert f"It is right, says {user.get_username()}" in text
    (told,) = doubts(user, show="all")["doubts"]
    assert told["looked_by"] == user.get_username()
    # What does not touch it leaves the answer as it is; a change of it asks again.
    write(match, "confirm")
    assert doubts(user)["doubts"] == []
    write(match, "void", target=4, why="miscounted")
    assert doubts(user)["doubts"] == []
    timed(match, (43, "miss"))
    (again,) = doubts(user)["doubts"]
    assert again["looked_at"] is None
    assert Doubt.objects.get().seq > doubt.seq


def test_an_answer_is_taken_back(players, organiser):
    quick(*players)
    organiser.get(reverse("doubts"))
    pk = Doubt.objects.get().pk
    for act, open_ones in (("right", 0), ("again", 1)):
        organiser.post(reverse("doubts"), {"doubt": pk, "act": act})
        assert doubts(make_organiser())["count"] == open_ones
    assert organiser.post(reverse("doubts"), {"doubt": 999, "act": "right"}).status_code == 404


def test_only_what_went_on_is_looked_at_again(players, monkeypatch):
    one, two = players
    first, second = a_match(one, two, 1, 0), a_match(one, two, 0, 2)
    looked = []
    scan = doubting._scan
    monkeypatch.setattr(doubting, "_scan", lambda ids: (looked.append(ids), scan(ids)))
    doubts(make_organiser())
    doubts(make_organiser())
    write(second, "inning", run=1, instead_of=2, why="miscounted")
    doubts(make_organiser())
    assert looked == [[first.pk, second.pk], [second.pk]]


def test_long_scans_go_in_lots_and_a_worker_does_the_rest(players, organiser, monkeypatch):
    one, two = players
    for more in range(3):
        a_match(one, two, 1, more)
    monkeypatch.setattr(doubting, "AT_ONCE", 2)
    monkeypatch.setattr(doubting.waiting, "__defaults__", (2,))
    text = organiser.get(reverse("doubts")).content.decode()
    assert "One match of the club is still to be looked at" in text
    assert upkeep.do_bring_up_to_date() is not None
    assert doubting.how_many_wait() == 0
    assert doubts(make_organiser())["looked"] == 3


def test_a_pair_that_parts_asks_nothing(players):
    one, two = players
    runs = [0, 3, 1, 0, 2, 2, 0, 1, 5, 0] * 3
    first, again = a_match(one, two, *runs), a_match(one, two, *runs)
    assert kinds(doubts(make_organiser())) == [(again.pk, "twice")]
    write(first, "inning", run=9, instead_of=2, why="miscounted")
    assert doubts(make_organiser())["doubts"] == []


def test_what_was_brought_in_from_elsewhere_has_no_times(players):
    one, two = players
    batch = ImportBatch.objects.create(source="club book")
    match = opened(make_match(one, two, distance=(2, 2)), one.pk)
    author = Author(organises=True, batch_id=batch.pk)
    timed(match, (0, "point"), (1, "point"), (2, "miss"), author=author)
    assert doubts(make_organiser())["doubts"] == []
    assert ScannedMatch.objects.get(match=match).stays == []


def test_a_players_report_carries_the_count_and_all_figures(players, organiser):
    one, _two = players
    quick(*players)
    address = reverse("player-report", args=[one.pk])
    assert "about these matches" not in organiser.get(address).content.decode()
    organiser.get(reverse("doubts"))
    text = organiser.get(address).content.decode()
    assert "One question about these matches is open" in text
    assert reverse("doubts") in text
    doubting.do_say_right(Doubt.objects.get(), None)
    assert "about these matches is open" not in organiser.get(address).content.decode()


@pytest.mark.parametrize("name", ["doubts", "api-doubts"])
def test_reading_asks_as_often_whatever_the_amount(name, players):
    client, counts = client_for(make_organiser()), []
    for number in (1, 3):
        for _ in range(number):
            quick(*players)
        counts.append(asked(client, reverse(name)))
    assert counts[0] == counts[1]
    counted(name, counts[0])


def test_days_and_rights(players, organiser):
    one, two = players
    a_match(one, two, 1, 0)
    assert doubts(make_organiser(), since="2031-01-01")["looked"] == 0
    assert "since" in client_for(make_organiser()).get("/api/doubts/", {"since": "soon"}).json()
    assert client_for(make_user()).get("/api/doubts/").status_code == 403
    assert client_for(make_user()).post(reverse("doubts"), {"doubt": 1, "act": "right"}).status_code == 403
    head = organiser.get(reverse("doubts"), {"csv": "doubts"}).content.decode().splitlines()[0]
    assert head.split(",")[:9] == [
        "id",
        "match",
        "date",
        "players",
        "about",
        "kind",
        "certain",
        "chance",
        "reason",
    ]


def test_which_questions_are_wanted_is_told_where_it_is_not_understood(organiser):
    answer = client_for(make_organiser()).get("/api/doubts/", {"show": "some"})
    assert (answer.status_code, list(answer.json())) == (400, ["show"])
    assert "send open or all" in organiser.get(reverse("doubts"), {"show": "some"}).content.decode()
