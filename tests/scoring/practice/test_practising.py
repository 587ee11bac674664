"""The writer of practice: what an attempt adds up to, and that nothing is ever lost or written twice."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from scoring.models import Attempt, ImportBatch, PracticeEntry, PracticePosition, PracticeSession
from scoring.practising import do_change_session, do_rebuild_session
from tests import cast
from tests.scoring.pages.writing import opened, write
from tests.scoring.practice.trying import LINE, MADE, SHORT_OF_ONE, row, send, strike, tried

pytestmark = pytest.mark.django_db


@pytest.fixture
def session() -> PracticeSession:
    return cast.make_session(cast.make_player("Quendal", user=cast.make_user("mira")))


def sums(session: PracticeSession) -> tuple[int, int, int]:
    found = PracticeSession.objects.get(pk=session.pk)
    return found.seq, found.tried, found.made


def codes(*outcomes) -> list[str | None]:
    return [outcome.code for outcome in outcomes]


@pytest.mark.parametrize(
    ("said", "contacts", "outcome", "flagged"),
    [
        ("made", None, "made", []),
        (None, MADE, "made", []),
        (None, SHORT_OF_ONE, "missed", []),
        ("made", MADE, "made", []),
        ("missed", MADE, "missed", ["ruling"]),
        ("made", SHORT_OF_ONE, "made", ["ruling"]),
    ],
)
def test_the_players_word_counts_and_is_flagged_where_the_contacts_differ(
    session, said, contacts, outcome, flagged
):
    attempt = tried(session, outcome=said, contacts=contacts)
    assert (attempt.outcome, attempt.codes) == (outcome, flagged)


def test_a_ruling_is_kept_and_what_was_tried_is_never_guessed(session):
    made = tried(session, outcome=None, contacts=MADE)
    assert made.ruling == {
        "valid": True, "cushions": 3, "required": 3, "family": "around-the-table", "foul": None,
    }  # fmt: skip
    assert (made.family_tried, made.family_made) == ("around-the-table", "around-the-table")
    missed = tried(session, contacts=MADE)
    assert (missed.family_tried, missed.family_made) == (None, "around-the-table")
    declared = tried(session, outcome="made", contacts=MADE, family="cross-table")
    assert (declared.family_tried, declared.family_made) == ("cross-table", "around-the-table")
    assert tried(session).ruling is None


def test_a_session_keeps_the_rules_it_was_begun_with():
    player = cast.make_player(user=cast.make_user())
    one = cast.make_session(player, discipline="one-cushion")
    assert tried(one, outcome=None, contacts=SHORT_OF_ONE).is_made


@pytest.mark.both_databases
def test_attempts_are_counted_struck_out_and_put_back(session):
    first, second = tried(session, outcome="made"), tried(session)
    assert sums(session) == (2, 2, 1)
    struck = strike(session, first.uuid)
    first.refresh_from_db()
    assert first.struck_out_at is not None
    assert str(first.struck_by.uuid) == struck
    assert sums(session) == (3, 1, 0)
    strike(session, struck)
    first.refresh_from_db()
    assert (first.struck_out_at, first.struck_by) == (None, None)
    assert sums(session) == (4, 2, 1)
    strike(session, second.uuid)
    assert sums(session) == (5, 1, 1)


def test_what_cannot_be_struck_out_says_why(session):
    attempt = tried(session)
    struck = strike(session, attempt.uuid)
    back = strike(session, struck)
    again = strike(session, attempt.uuid)
    other = tried(cast.make_session(session.player))

    def void(target) -> dict[str, str]:
        return {"uuid": str(uuid.uuid4()), "void": str(target)}

    refused = send(
        session, void(attempt.uuid), void(struck), void(back), void(other.uuid), void(uuid.uuid4())
    )
    assert codes(*refused) == ["struck-out", "put-back", "put-back", "no-such-attempt", "no-such-attempt"]
    assert str(Attempt.objects.get(uuid=attempt.uuid).struck_by.uuid) == again


@pytest.mark.both_databases
def test_a_list_strikes_out_what_it_holds_itself(session):
    one = row(outcome="made")
    struck = {"uuid": str(uuid.uuid4()), "void": one["uuid"]}
    back = {"uuid": str(uuid.uuid4()), "void": struck["uuid"]}
    again = {"uuid": str(uuid.uuid4()), "void": one["uuid"]}
    outcomes = send(session, one, struck, back, again)
    assert [outcome.status for outcome in outcomes] == ["stored"] * 4
    stored = Attempt.objects.get(uuid=one["uuid"])
    assert str(stored.struck_by.uuid) == again["uuid"]
    assert sums(session) == (4, 0, 0)


@pytest.mark.both_databases
def test_what_is_sent_twice_is_stored_once(session):
    one, two = row(device_time="2026-11-25T19:30:00+01:00", offline=True), row(outcome="made")
    void = {"uuid": str(uuid.uuid4()), "void": one["uuid"]}
    assert [outcome.status for outcome in send(session, one, two, one, void)] == [
        "stored", "stored", "known", "stored",
    ]  # fmt: skip
    again = send(session, one, void, two)
    assert [outcome.status for outcome in again] == ["known"] * 3
    assert [str(outcome.attempt.uuid) for outcome in again] == [one["uuid"], one["uuid"], two["uuid"]]
    assert sums(session) == (3, 1, 1)
    assert PracticeEntry.objects.count() == 3


@pytest.mark.both_databases
def test_a_uuid_with_other_contents_or_in_another_session_is_refused(session):
    one = row()
    send(session, one)
    other = cast.make_session(session.player)
    assert codes(*send(session, one | {"outcome": "made"})) == ["uuid-known"]
    assert codes(*send(other, one)) == ["uuid-known"]
    assert Attempt.objects.count() == 1


def test_what_is_refused_leaves_the_rest_as_it_is(session):
    good, last = row(), row(outcome="made")
    outcomes = send(session, good, {"uuid": "no"}, row(layout=None), row(how="upwards"), last)
    assert [outcome.status for outcome in outcomes] == [
        "stored", "refused", "refused", "refused", "stored",
    ]  # fmt: skip
    assert sums(session) == (2, 2, 1)
    assert [one.order for one in session.attempts.order_by("order")] == [1, 2]


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"outcome": None}, "outcome"),
        ({"layout": None}, "layout"),
        ({"cue_ball": None}, "cue_ball"),
        ({"layout": {"white": [0, 0]}}, "layout"),
        ({"layout": cast.LAYOUT | {"yellow": [0.08, 6.0]}}, "layout.yellow"),
        ({"layout": cast.LAYOUT | {"red": [1.0, 2.1]}}, "layout.red"),
        ({"cue_ball": "red"}, "cue_ball"),
        ({"outcome": "made", "how": "short"}, "how"),
        ({"outcome": None, "contacts": MADE, "how": "thin"}, "how"),
        ({"contacts": [{"ball": "white"}]}, "contacts[0].ball"),
        ({"position": 404}, "position"),
        ({"position": "404"}, "position"),
        ({"from_match": 1}, "from_place"),
        ({"from_match": 404, "from_place": 1}, "from_match"),
        ({"points": 2}, "points"),
        ({"device_time": "yesterday"}, "device_time"),
        ({"offline": "no"}, "offline"),
    ],
)
def test_what_is_malformed_names_its_field(session, fields, field):
    (outcome,) = send(session, row(**fields))
    assert outcome.code == "malformed"
    assert outcome.error.field == field
    assert sums(session) == (0, 0, 0)


def test_a_clock_that_is_not_believed_is_flagged_and_an_offline_one_is(session):
    now = timezone.now()
    before = (now - datetime.timedelta(days=3)).isoformat()
    late, offline = tried(session, device_time=before), tried(session, device_time=before, offline=True)
    assert late.codes == ["clock"]
    assert late.dated_at >= now
    assert offline.codes == []
    assert offline.dated_at.isoformat() == offline.device_time.isoformat()


# --- when it was told ----------------------------------------------------------


def test_layout_and_line_of_a_position_were_told_before(session):
    position = cast.make_position(session.player.user, line=LINE)
    bare = tried(session, position=position.pk, layout=None, cue_ball=None)
    assert (bare.layout, bare.cue_ball, bare.line) == (position.layout, "white", LINE)
    named = tried(session, position=str(position.uuid), line=LINE)
    assert (bare.told, named.told, named.position) == ("blind", "blind", position)


def test_what_came_with_the_attempt_was_told_at_the_same_time(session):
    position = cast.make_position(session.player.user, line=LINE)
    own_line = tried(session, position=position.pk, line=LINE | {"speed": 4.0})
    assert (own_line.told, own_line.line["speed"]) == ("same-time", 4.0)
    moved = tried(session, position=position.pk, layout=cast.LAYOUT | {"red": [2.0, 4.0]})
    # The line belongs to the balls it was told for, and to no others.
    assert (moved.told, moved.line) == ("same-time", None)
    other_ball = tried(session, position=position.pk, cue_ball="yellow")
    assert (other_ball.told, other_ball.line) == ("same-time", None)
    assert tried(session).told == "same-time"


def test_what_is_imported_was_told_in_hindsight(session):
    position = cast.make_position(session.player.user)
    batch = ImportBatch.objects.create(source="paper")
    (outcome,) = send(session, row(position=position.pk), batch_id=batch.pk)
    assert outcome.attempt.told == "hindsight"


@pytest.mark.both_databases
def test_a_position_is_taken_from_a_stroke_of_a_match(session):
    match = opened(cast.make_match(session.player, cast.make_player("Vilemeer")))
    write(match, "miss", layout=cast.LAYOUT)
    place = match.stroke_projections.get().place
    taken = tried(session, layout=None, cue_ball=None, from_match=match.pk, from_place=place)
    assert (taken.layout, taken.cue_ball, taken.told) == (cast.LAYOUT, "white", "blind")
    assert (taken.from_match, taken.from_place) == (match, place)
    strangers = opened(cast.make_match())
    write(strangers, "miss", layout=cast.LAYOUT)
    (outcome,) = send(session, row(from_match=strangers.pk, from_place=2))
    assert outcome.error.field == "from_match"


# --- the library, the session, all of it again ---------------------------------


def test_a_position_of_somebody_else_cannot_be_named(session):
    strangers = cast.make_position(cast.make_user())
    (outcome,) = send(session, row(position=strangers.pk))
    assert outcome.error.field == "position"
    shared = cast.make_position(strangers.owner, shared=True)
    assert tried(session, position=shared.pk).position == shared


def test_a_session_ends_and_goes_on(session):
    ended = do_change_session(session.pk, ended=True, name="Evening").ended_at
    assert do_change_session(session.pk, ended=True).ended_at == ended
    tried(session)  # what reaches the club late is not lost
    assert do_change_session(session.pk, ended=False).ended_at is None
    assert PracticeSession.objects.get(pk=session.pk).name == "Evening"


@pytest.mark.both_databases
def test_attempts_are_rebuilt_from_their_entries_and_nothing_differs(session):
    position = cast.make_position(session.player.user, line=LINE)
    first = tried(session, position=position.pk, contacts=MADE)
    struck = strike(session, first.uuid)
    strike(session, struck)
    strike(session, tried(session, how="thin", family="ticky").uuid)
    assert do_rebuild_session(session.pk) == []
    Attempt.objects.filter(uuid=first.uuid).update(outcome="made")
    PracticeSession.objects.filter(pk=session.pk).update(made=7)
    PracticeEntry.objects.filter(uuid=struck).update(offline=True)
    assert do_rebuild_session(session.pk) == [
        "entry 2 is not the one that was written", "attempt rows differed", "session row differed",
    ]  # fmt: skip
    assert Attempt.objects.get(uuid=first.uuid).outcome == "missed"
    assert sums(session) == (5, 1, 0)


def test_every_shipped_position_can_be_tried(session):
    shipped = list(PracticePosition.objects.filter(shipped=True))
    assert len(shipped) >= 20
    outcomes = send(session, *(row(position=one.pk, layout=None, cue_ball=None) for one in shipped))
    assert {outcome.status for outcome in outcomes} == {"stored"}


def test_the_command_rebuilds_sessions_beside_matches(session, capsys):
    tried(session, outcome="made")
    call_command("rebuild_projections")
    assert "0 matches and 1 practice sessions rebuilt, 0 differences found." in capsys.readouterr().out
    PracticeSession.objects.filter(pk=session.pk).update(made=7)
    with pytest.raises(CommandError):
        call_command("rebuild_projections")
    assert f"practice session {session.pk}: session row differed" in capsys.readouterr().err


def test_an_ended_session_takes_what_was_tried_before_and_nothing_after(session):
    before = timezone.now() - datetime.timedelta(minutes=1)
    do_change_session(session.pk, ended=True)
    waited = row(device_time=before.isoformat(), offline=True)
    late = row(device_time=timezone.now().isoformat())
    outcomes = send(session, waited, late)
    assert [one.status for one in outcomes] == ["stored", "refused"]
    assert outcomes[1].code == "session-ended"
    do_change_session(session.pk, ended=False)
    assert [one.status for one in send(session, waited, late)] == ["known", "stored"]
