"""The writer: order, retries, refusals, corrections, what is kept and what is proved."""

import datetime
import uuid

import pytest
from django.utils import timezone

from scoring import ledger, records
from scoring.access import Forbidden
from scoring.ledger import Author
from scoring.models import EntryText, MatchEntry, MatchProjection, Pen, RefusedEntry, StrokeProjection
from scoring.rules.said import Malformed
from tests.cast import make_match, make_organiser, make_player

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

SCORER = Author()
ORGANISER = Author(organises=True)


def sent(kind, after, **fields):
    return {"uuid": str(uuid.uuid4()), "after": after, "kind": kind} | fields


def write(match, kind, author=SCORER, **fields):
    """Append with the latest `after`; return the outcome and the state."""
    after = MatchProjection.objects.get(match=match).seq
    return ledger.append(match.pk, sent(kind, after, **fields), author)


@pytest.fixture
def match():
    match = make_match(distance=(5, 5))
    write(match, "open", starter=match.entrant_b_id, decided_by="lag")
    return match


def test_an_entry_gets_the_next_seq_and_the_state(match):
    outcome, state = write(match, "point")
    assert (outcome.status, outcome.seq) == ("stored", 2)
    assert state["score"] == {"white": 1, "yellow": 0}
    assert state["players"]["white"] == match.entrant_b_id


def test_a_retry_answers_the_same_seq_and_writes_nothing(match):
    entry = sent("point", 1)
    first, _ = ledger.append(match.pk, entry, SCORER)
    again, state = ledger.append(match.pk, entry | {"after": 99, "offline": True}, SCORER)
    assert (again.status, again.seq) == ("known", first.seq)
    assert state["score"]["white"] == 1
    assert match.entries.count() == 2


def test_a_known_uuid_with_other_contents_is_refused(match):
    entry = sent("point", 1)
    ledger.append(match.pk, entry, SCORER)
    for change in ({"kind": "miss"}, {"family": "bank"}, {"device_time": "2026-11-25T19:30:00+01:00"}):
        outcome, _ = ledger.append(match.pk, entry | change, SCORER)
        assert (outcome.status, outcome.code) == ("refused", "uuid-known")


def test_a_known_uuid_of_another_match_is_refused(match):
    entry = sent("open", 0, starter=match.entrant_b_id)
    other = make_match(make_player("Astavik"), make_player("Karnhof"))
    stored = match.entries.get(seq=1)
    outcome, _ = ledger.append(other.pk, entry | {"uuid": str(stored.uuid)}, SCORER)
    assert outcome.code == "uuid-known"


def test_the_text_of_a_retry_is_compared_through_its_hash(match):
    write(match, "point")
    entry = sent("void", 2, target=2, why="slipped")
    ledger.append(match.pk, entry, SCORER)
    assert ledger.append(match.pk, entry, SCORER)[0].status == "known"
    assert ledger.append(match.pk, entry | {"why": "another"}, SCORER)[0].code == "uuid-known"
    assert (
        ledger.append(match.pk, {k: v for k, v in entry.items() if k != "why"}, SCORER)[0].code
        == "uuid-known"
    )


def test_free_text_is_erasable_and_the_record_still_proves_itself(match):
    write(match, "point")
    write(match, "void", target=2, why="a name that must be forgotten")
    row = match.entries.get(seq=3)
    assert "why" not in row.data
    assert records.text_hash(row.text.salt, row.text.texts) == row.text_hash
    EntryText.objects.all().delete()
    assert records.broken_at(match.entries.order_by("seq")) is None


def test_a_changed_row_is_found(match):
    write(match, "point")
    write(match, "point")
    assert records.broken_at(match.entries.order_by("seq")) is None
    MatchEntry.objects.filter(match=match, seq=2).update(kind="miss")
    assert records.broken_at(match.entries.order_by("seq")) == 2


def test_a_refused_entry_is_kept_with_its_code(match):
    outcome, state = write(match, "inning", run=6)
    assert (outcome.status, outcome.code, outcome.seq) == ("refused", "past-distance", None)
    kept = RefusedEntry.objects.get()
    assert (kept.code, kept.kind, kept.contents, str(kept.uuid)) == (
        "past-distance",
        "inning",
        {"run": 6},
        outcome.uuid,
    )
    assert state["seq"] == 1
    assert not MatchEntry.objects.filter(uuid=outcome.uuid).exists()


def test_after_the_first_refusal_of_a_list_the_rest_is_refused_too(match):
    entries = [sent("inning", 1, run=2), sent("inning", 0, run=9), sent("miss", 0)]
    outcomes, state = ledger.append_list(match.pk, entries, SCORER)
    assert [one.status for one in outcomes] == ["stored", "refused", "refused"]
    assert [one.code for one in outcomes] == [None, "past-distance", "follows-refused"]
    assert state["seq"] == 2


def test_a_list_goes_on_after_what_is_known_already(match):
    first = sent("inning", 1, run=2)
    ledger.append(match.pk, first, SCORER)
    outcomes, state = ledger.append_list(match.pk, [first, sent("inning", 0, run=1)], SCORER)
    assert [(one.status, one.seq) for one in outcomes] == [("known", 2), ("stored", 3)]
    assert state["score"] == {"white": 2, "yellow": 1}


def test_a_list_that_follows_known_entries_is_stale_when_others_wrote_since(match):
    first = sent("inning", 1, run=2)
    ledger.append(match.pk, first, SCORER)
    write(match, "inning", run=3)
    outcomes, _ = ledger.append_list(match.pk, [first, sent("inning", 3, run=1)], SCORER)
    assert [one.code for one in outcomes] == [None, "stale"]


def test_quiet_entries_make_nobody_stale(match):
    write(match, "point")
    write(match, "dispute", target=2, why="not seen")
    outcome, _ = ledger.append(match.pk, sent("point", 2), SCORER)
    assert outcome.seq == 4
    ahead, _ = ledger.append(match.pk, sent("point", 9), SCORER)
    assert ahead.code == "stale"


def test_a_list_may_correct_what_it_has_just_written(match):
    slip = sent("inning", 1, run=2)
    entries = [slip, sent("inning", 0, run=3, instead_of=slip["uuid"], why="miscounted")]
    outcomes, state = ledger.append_list(match.pk, entries, SCORER)
    assert [one.status for one in outcomes] == ["stored", "stored"]
    assert state["score"]["white"] == 3
    assert match.entries.get(seq=3).place == 2
    assert list(StrokeProjection.objects.values_list("place", "seq", "run")) == [(2, 3, 3)]


def test_a_correction_keeps_the_date_of_its_place(match):
    long_ago = timezone.now() - datetime.timedelta(hours=2)
    write(match, "inning", run=1, device_time=long_ago.isoformat())
    write(match, "inning", run=2, instead_of=2)
    assert StrokeProjection.objects.get().dated_at == long_ago


@pytest.mark.parametrize(
    ("away", "offline", "believed"),
    [
        (datetime.timedelta(hours=-2), False, True),
        (datetime.timedelta(hours=-25), False, False),
        (datetime.timedelta(days=-9), True, True),
        (datetime.timedelta(hours=1), False, False),
        (datetime.timedelta(hours=1), True, False),
    ],
)
def test_a_clock_that_cannot_be_right_is_flagged_and_replaced(match, away, offline, believed):
    moment = timezone.now() + away
    outcome, state = write(match, "miss", device_time=moment.isoformat(), offline=offline)
    row = match.entries.get(seq=outcome.seq)
    assert row.device_time == moment
    assert (row.dated_at == moment) is believed
    assert [flag["code"] for flag in state["flags"]] == ([] if believed else ["clock"])


def test_only_an_organiser_reopens_a_confirmed_match(match):
    write(match, "concede", player=match.entrant_a_id)
    write(match, "confirm")
    outcome, state = write(match, "void", target=2, why="not meant")
    assert isinstance(outcome.error, Forbidden)
    assert state["status"] == "confirmed"
    outcome, _ = write(match, "void", ORGANISER, target=2)
    assert isinstance(outcome.error, Malformed)
    outcome, state = write(match, "void", ORGANISER, target=2, why="not meant")
    assert (outcome.status, state["status"]) == ("stored", "playing")


def test_a_result_is_an_organisers(match):
    fields = {"outcome": "award", "player": match.entrant_a_id, "why": "absent"}
    assert isinstance(write(match, "result", **fields)[0].error, Forbidden)
    _, state = write(match, "result", ORGANISER, **fields)
    assert (state["status"], state["winner"], state["ended_by"]) == ("over", match.entrant_a_id, "award")
    assert not match.colour_projections.filter(counted=True).exists()


def test_while_a_pen_is_held_others_do_not_write_play(match):
    pen = Pen.objects.create(match=match, device="tablet of table 3", token_hash="a" * 64)
    outcome, _ = write(match, "point")
    assert outcome.code == "pen-elsewhere"
    outcome, _ = write(match, "point", Author(pen_id=pen.pk))
    assert outcome.status == "stored"
    assert write(match, "void", ORGANISER, target=2)[0].status == "stored"
    assert write(match, "dispute", target=2)[0].status == "stored"


def test_the_table_of_a_resumption_must_exist(match):
    write(match, "suspend")
    outcome, _ = write(match, "resume", table=999)
    assert isinstance(outcome.error, Malformed)


def test_a_preview_writes_nothing(match):
    write(match, "inning", run=2)
    found = ledger.preview(match.pk, sent("inning", 2, run=5, instead_of=2), SCORER)
    assert found.state["score"]["white"] == 5
    assert "White reached the distance in inning 1." in [str(change) for change in found.changes]
    assert match.entries.count() == 2
    assert MatchProjection.objects.get(match=match).state["score"]["white"] == 2


def test_a_forgotten_inning_offers_to_hand_the_later_ones_on(match):
    for run in (1, 2, 0, 1):
        write(match, "inning", run=run)
    insertion = sent("inning", 5, run=0, before=3, by="yellow")
    found = ledger.preview(match.pk, insertion, SCORER)
    assert [(one["instead_of"], one["by"]) for one in found.renumber] == [
        (3, "white"),
        (4, "yellow"),
        (5, "white"),
    ]
    outcomes, state = ledger.append_list(
        match.pk, [insertion] + [sent(after=0, **one) for one in found.renumber], SCORER
    )
    assert [one.status for one in outcomes] == ["stored"] * 4
    assert state["flags"] == []
    assert state["score"] == {"white": 4, "yellow": 0}


def test_the_writer_is_kept_with_the_entry(match):
    user = make_organiser()
    outcome, _ = write(match, "point", Author(user_id=user.pk))
    assert match.entries.get(seq=outcome.seq).author_user == user


def test_a_uuid_twice_in_one_list_is_compared_with_its_text(match):
    write(match, "point")
    entry = sent("void", 2, target=2, why="slipped")
    outcomes, _ = ledger.append_list(match.pk, [entry, entry, entry | {"why": "another"}], SCORER)
    assert [one.status for one in outcomes] == ["stored", "known", "refused"]
    assert outcomes[2].code == "uuid-known"
