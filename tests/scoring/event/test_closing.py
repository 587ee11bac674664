"""A closed competition takes nothing, proves itself, and is opened again only visibly."""

from __future__ import annotations

import hashlib
import io
import json
import uuid

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from scoring import ledger
from scoring.arrange import do_arrange_match
from scoring.closing import do_close, do_reopen, verify
from scoring.competing import do_write_competition
from scoring.conducting import do_rebuild_competition, do_record
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, CompetitionText, EntryText, MatchEntry
from scoring.publishing import do_publish, do_unpublish
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from scoring.teams import do_enter_team
from tests import cast
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db
ME = Author(organises=True)


def desk(cup):
    """Return the browser of an organiser."""
    client = Client()
    client.force_login(cast.make_organiser(cup), backend="django.contrib.auth.backends.ModelBackend")
    return client


def ended(cup):
    match = opened(cast.make_match(competition=cup, distance=(3, 3)))
    innings(match, 3, 0)
    write(match, "confirm", by="Emil")
    return match


@pytest.fixture
def cup():
    return cast.make_competition()


@pytest.fixture
def match(cup):
    return ended(cup)


@pytest.fixture
def closed(cup, match):
    do_publish(cup, ME)
    do_close(cup, ME)
    return Competition.objects.get(pk=cup.pk)


def test_the_fingerprint_is_the_one_that_is_documented(cup, match):
    do_publish(cup, ME)
    own = CompetitionEntry.objects.get().fingerprint
    do_close(cup, ME)
    last = MatchEntry.objects.filter(match=match).order_by("-seq")[0]
    proved = {
        "competition": str(cup.uuid),
        "ledger": own,
        "matches": [[str(match.uuid), last.seq, last.fingerprint]],
    }
    text = json.dumps(proved, sort_keys=True, separators=(",", ":"))
    assert cup.closing_fingerprint == hashlib.sha256(text.encode()).hexdigest()
    assert verify(Competition.objects.get(pk=cup.pk)).holds


def test_nothing_is_written_any_more(closed, match):
    name = str(uuid.uuid4())
    outcome, _state = ledger.append(match.pk, {"uuid": name, "after": 4, "kind": "confirm"}, ME)
    assert (outcome.status, outcome.code) == ("refused", "closed")
    organiser = cast.client_for(cast.make_organiser(closed))
    sent = {"uuid": name, "after": 4, "kind": "confirm"}
    for call in ("entries/", "entries/preview/"):
        answer = organiser.post(f"/api/matches/{match.pk}/{call}", sent, format="json")
        assert (answer.status_code, answer.json()["code"]) == (409, "closed"), call
    answer = organiser.patch(f"/api/competitions/{closed.pk}/", {"name": "Other"}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (409, "closed")
    with pytest.raises(Refused, match="closed"):
        do_record(closed, "enter", {"players": [match.entrant_a_id]}, ME)
    with pytest.raises(Malformed):
        do_arrange_match(club=closed.club, players=(match.entrant_a, match.entrant_b), competition=closed)
    assert verify(closed).holds


def test_a_retry_of_what_was_stored_before_is_answered(cup, match):
    known = MatchEntry.objects.filter(match=match, kind="open").get()
    do_close(cup, ME)
    sent = {"uuid": str(known.uuid), "after": 0, "kind": "open", **known.data}
    outcome, _state = ledger.append(match.pk, sent, ME)
    assert (outcome.status, outcome.seq) == ("known", 1)


def test_open_matches_need_a_reason(cup, match):
    cast.make_match(competition=cup)
    with pytest.raises(Refused) as refused:
        do_close(cup, ME)
    assert refused.value.code == "open-matches"
    assert Competition.objects.get(pk=cup.pk).closed_at is None
    do_close(cup, ME, why="the hall burnt down")
    entry = CompetitionEntry.objects.get(kind="close")
    assert (entry.data["matches"], entry.data["open"]) == (2, 1)
    assert CompetitionText.objects.get(entry=entry).texts == {"why": "the hall burnt down"}
    with pytest.raises(Refused) as refused:
        do_close(cup, ME, why="again")
    assert refused.value.code == "closed"


def test_a_retry_of_the_closing_writes_nothing(cup, match):
    name = uuid.uuid4()
    first = do_close(cup, ME, uuid=name)
    assert do_close(cup, ME, uuid=name).entry.pk == first.entry.pk
    assert CompetitionEntry.objects.count() == 1


CHANGES = {
    "a field of an entry": lambda match: MatchEntry.objects.filter(match=match, kind="inning", seq=2).update(
        data={"run": 2}
    ),
    "when an entry came": lambda match: MatchEntry.objects.filter(match=match, seq=1).update(
        received_at="2026-01-01T00:00:00Z"
    ),
    "the last entry gone": lambda match: _drop(match),
    "a match more": lambda match: (
        cast.make_match(competition=None, discipline="three-cushion")
        and type(match).objects.exclude(pk=match.pk).update(competition=match.competition_id)
    ),
    "its own ledger": lambda match: CompetitionEntry.objects.filter(kind="publish").update(kind="unpublish"),
    "what it was closed with": lambda match: Competition.objects.update(closing_fingerprint="0" * 64),
}


def _drop(match):
    last = MatchEntry.objects.filter(match=match).order_by("-seq")[0]
    EntryText.objects.filter(entry=last).delete()
    last.delete()


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_is_changed_shows(closed, match, change):
    CHANGES[change](match)
    assert not verify(Competition.objects.get(pk=closed.pk)).holds
    err = io.StringIO()
    with pytest.raises(CommandError):
        call_command("verify_competition", stdout=io.StringIO(), stderr=err)
    assert "does not hold" in err.getvalue()
    assert "It does not hold" in cast.client_for().get(f"/competitions/{closed.pk}/verify/").content.decode()


def test_what_may_be_forgotten_or_unpublished_changes_nothing(closed, match):
    EntryText.objects.all().delete()
    do_unpublish(closed, ME, asked=["sheets"])
    do_publish(closed, ME)
    out = io.StringIO()
    call_command("verify_competition", closed.pk, stdout=out)
    assert f"competition {closed.pk}: holds (1 matches, " in out.getvalue()
    with pytest.raises(CommandError):
        call_command("verify_competition", closed.pk + 1)
    assert "It holds" in cast.client_for().get(f"/competitions/{closed.pk}/verify/").content.decode()
    told = cast.client_for().get(f"/api/competitions/{closed.pk}/verify/").json()
    assert (told["holds"], told["broken"], told["stored"]) == (True, [], closed.closing_fingerprint)


def test_it_is_opened_again_only_visibly(closed, match):
    organiser = desk(closed)
    answer = cast.client_for(cast.make_organiser(closed)).post(
        f"/api/competitions/{closed.pk}/reopen/", {}, format="json"
    )
    assert answer.status_code == 400
    page = f"/competitions/{closed.pk}/reopen/"
    assert "One thing is to be mended" in organiser.post(page, {"why": " "}).content.decode()
    assert organiser.post(page, {"why": "a sheet was lost"}).status_code == 302
    closed.refresh_from_db()
    assert (closed.closed_at, closed.closing_fingerprint) == (None, "")
    write(match, "confirm")
    visitor = cast.client_for()
    for path in ("", "results/", "schedule/", "verify/"):
        said = visitor.get(f"/competitions/{closed.pk}/{path}").content.decode()
        assert "because: a sheet was lost" in said, path
    organiser.post(f"/competitions/{closed.pk}/close/", {"why": ""})
    closed.refresh_from_db()
    assert closed.closed_at is not None
    assert verify(closed).holds
    assert "because: a sheet was lost" in visitor.get(f"/competitions/{closed.pk}/").content.decode()
    assert do_rebuild_competition(closed) == []


def test_who_does_not_organise_closes_nothing(cup, match):
    do_publish(cup, ME)
    for user in (None, cast.make_user("nobody"), cast.make_referee(cup)):
        client = cast.client_for(user)
        expected = 401 if user is None else 403
        assert client.post(f"/api/competitions/{cup.pk}/close/", {}, format="json").status_code == expected
    cup.refresh_from_db()
    assert cup.closed_at is None


def test_closing_through_the_api_says_what_is_open(cup, match):
    cast.make_match(competition=cup)
    organiser = cast.client_for(cast.make_organiser(cup))
    answer = organiser.post(f"/api/competitions/{cup.pk}/close/", {}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (409, "open-matches")
    answer = organiser.post(f"/api/competitions/{cup.pk}/close/", {"why": "late"}, format="json")
    assert len(answer.json()["closing_fingerprint"]) == 64
    do_reopen(Competition.objects.get(pk=cup.pk), ME, why="too early")


def test_asking_whether_it_is_closed_costs_one_query_however_many_entries():
    counts = []
    for length in (4, 30):
        cup = cast.make_competition(f"Cup of {length}")
        match = opened(cast.make_match(competition=cup, distance=(90, 90)))
        innings(match, *([1, 0] * (length // 2)))
        with CaptureQueriesContext(connection) as queries:
            write(match, "inning", run=1)
        counts.append(sum("closed_at" in one["sql"] and "IS NOT NULL" in one["sql"] for one in queries))
    assert counts == [1, 1]


def test_who_read_a_competition_before_it_was_closed_writes_nothing_over_that():
    cup = cast.make_competition()
    before = Competition.objects.get(pk=cup.pk)
    do_close(cup, ME)
    with pytest.raises(Refused) as refused:
        do_write_competition(before, {"name": "Another Cup"})
    now = Competition.objects.get(pk=cup.pk)
    assert (refused.value.code, now.name) == ("closed", cup.name)
    assert now.closed_at is not None
    assert now.closing_fingerprint


def test_a_change_writes_what_it_is_about_and_nothing_else():
    cup = cast.make_competition()
    before = Competition.objects.get(pk=cup.pk)
    do_publish(cup, ME)
    do_write_competition(cup, {"regulations": {"rest_minutes": 25}})
    do_write_competition(before, {"name": "Another Cup", "regulations": {"third_place": True}})
    now = Competition.objects.get(pk=cup.pk)
    assert (now.published, now.name) == (True, "Another Cup")
    assert (now.regulations["rest_minutes"], now.regulations["third_place"]) == (25, True)


def test_a_team_of_a_closed_season_keeps_its_name():
    cup = cast.make_competition()
    team = do_enter_team(cup, "Team A", ME)
    do_close(cup, ME)
    answer = cast.client_for(cast.make_organiser(cup)).patch(
        f"/api/teams/{team.pk}/", {"name": "Team B"}, format="json"
    )
    team.refresh_from_db()
    assert (answer.status_code, answer.json()["code"], team.name) == (409, "closed", "Team A")
