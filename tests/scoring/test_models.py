"""What the rows of the scoring layer hold to by themselves."""

from __future__ import annotations

import uuid

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from scoring.models import Club, ExternalNumber, Match, MatchEntry, Pen, search_key
from tests import cast

pytestmark = pytest.mark.django_db


def refused(make) -> bool:
    try:
        with transaction.atomic():
            make()
    except IntegrityError:
        return True
    return False


def entry(match: Match, seq: int, **fields) -> MatchEntry:
    now = timezone.now()
    fields = {"uuid": uuid.uuid4(), "kind": "miss", "received_at": now, "dated_at": now} | fields
    return MatchEntry.objects.create(match=match, seq=seq, place=seq, **fields)


def test_the_first_club_is_made_once():
    first = Club.objects.the_first()
    assert Club.objects.the_first() == first
    Club.objects.create(name="Cellar Club")
    assert Club.objects.the_first() == first
    assert Club.objects.count() == 2


def test_an_entry_is_stored_once_whatever_the_match():
    one, two = cast.make_match(), cast.make_match()
    stored = entry(one, 1)
    assert refused(lambda: entry(one, 2, uuid=stored.uuid))
    assert refused(lambda: entry(two, 1, uuid=stored.uuid))
    assert refused(lambda: entry(one, 1))
    assert not refused(lambda: entry(two, 1))


def test_a_match_needs_two_players():
    match = cast.make_match()
    assert refused(lambda: Match.objects.filter(pk=match.pk).update(entrant_b=match.entrant_a))


def test_a_match_has_one_open_pen():
    match = cast.make_match()
    Pen.objects.create(match=match, device="old", token_hash="0" * 64, ended_at=timezone.now())
    Pen.objects.create(match=match, device="tablet", token_hash="1" * 64)
    assert refused(lambda: Pen.objects.create(match=match, device="phone", token_hash="2" * 64))


def test_an_external_number_names_one_player():
    one, two = cast.make_player("Quendal"), cast.make_player("Perrolt")
    ExternalNumber.objects.create(player=one, issuer="KVB", number="1")
    assert refused(lambda: ExternalNumber.objects.create(player=two, issuer="KVB", number="1"))
    assert not refused(lambda: ExternalNumber.objects.create(player=two, issuer="other", number="1"))


@pytest.mark.parametrize(
    ("text", "key"),
    [("  Zoë  BRINSÉL ", "zoe brinsel"), ("Straße", "strasse"), ("ﬁn", "fin"), ("", "")],
)
def test_a_name_is_searched_without_accents_and_capitals(text, key):
    assert search_key(text) == key
