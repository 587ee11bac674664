"""The ledger of a competition: appended, folded, proved, rebuilt."""

from __future__ import annotations

import uuid

import pytest

from scoring.conducting import do_rebuild_competition, do_record, read_state
from scoring.ledger import Author
from scoring.models import CompetitionEntry, CompetitionProjection, CompetitionText
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from tests import cast

pytestmark = pytest.mark.django_db
ME = Author(organises=True)


@pytest.fixture
def cup():
    return cast.make_competition()


def statuses(competition):
    return [one["status"] for one in read_state(competition)["entrants"].values()]


def test_entries_are_appended_and_folded(cup):
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    do_record(cup, "enter", {"players": [first.pk, second.pk]}, ME)
    do_record(cup, "present", {"player": second.pk}, ME)
    assert statuses(cup) == ["entered", "present"]
    do_record(cup, "withdraw", {"player": first.pk, "annul": True, "why": "ill"}, ME)
    assert read_state(cup)["entrants"][str(first.pk)] == {
        "number": 1,
        "status": "withdrawn",
        "seed": None,
        "annul": True,
    }
    assert [one.seq for one in CompetitionEntry.objects.order_by("seq")] == [1, 2, 3]
    assert CompetitionText.objects.get().texts == {"why": "ill"}
    assert "why" not in CompetitionEntry.objects.get(seq=3).data


def test_a_retry_writes_nothing_and_other_contents_are_refused(cup):
    player, name = cast.make_player(), uuid.uuid4()
    first = do_record(cup, "enter", {"players": [player.pk]}, ME, uuid=name)
    again = do_record(cup, "enter", {"players": [player.pk]}, ME, uuid=name)
    assert (first.known, again.known, again.entry.pk) == (False, True, first.entry.pk)
    with pytest.raises(Refused, match="uuid"):
        do_record(cup, "present", {"player": player.pk}, ME, uuid=name)


def test_what_does_not_fit_leaves_nothing(cup):
    with pytest.raises(Refused) as refused:
        do_record(cup, "present", {"player": cast.make_player().pk}, ME)
    assert refused.value.code == "not-entered"
    with pytest.raises(Malformed) as malformed:
        do_record(cup, "enter", {"players": [1, 1]}, ME)
    assert malformed.value.field == "players"
    assert not CompetitionEntry.objects.exists()


def test_who_looked_at_an_older_ledger_is_told(cup):
    do_record(cup, "enter", {"players": [cast.make_player().pk]}, ME, expected=0)
    with pytest.raises(Refused) as refused:
        do_record(cup, "enter", {"players": [cast.make_player("Karnhof").pk]}, ME, expected=0)
    assert refused.value.code == "stale"


def test_a_rebuild_finds_what_was_changed_by_hand(cup):
    do_record(cup, "enter", {"players": [cast.make_player().pk]}, ME)
    assert do_rebuild_competition(cup) == []
    CompetitionProjection.objects.update(state={})
    assert do_rebuild_competition(cup) == ["competition row differed"]
    assert statuses(cup) == ["entered"]
    CompetitionEntry.objects.update(data={"players": [987654]})
    assert do_rebuild_competition(cup)[0] == "entry 1 is not the one that was written"
