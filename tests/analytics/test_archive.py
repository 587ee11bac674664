"""The whole club out and in again: identical to the byte, proved, and refused where it is not."""

import io
import json
import zipfile

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from analytics.models import FollowedMatch, LookedAt, MeasuredSet, Prediction
from scoring import importing, ledger
from scoring.archive import reading
from scoring.archive.reading import read_archive
from scoring.archive.shapes import shapes
from scoring.archive.writing import write_archive
from scoring.handicapping import do_set_distance
from scoring.ledger import Author
from scoring.merging import do_merge
from scoring.models import (
    ApiToken,
    Club,
    ColourProjection,
    CompetitionProjection,
    ExternalNumber,
    Match,
    MatchEntry,
    MatchProjection,
    Pen,
    Player,
    PracticePosition,
    StandingSums,
    StrokeProjection,
    TableLink,
)
from scoring.own_regulations import do_add_rule_set
from scoring.rules.match.checks import Refused
from tests import cast
from tests.analytics.promised import played, promise
from tests.scoring.test_importing import RESULTS

WORKED_OUT = (
    StandingSums, MatchProjection, ColourProjection, StrokeProjection, CompetitionProjection, Pen, TableLink,
    ApiToken,
)  # fmt: skip


def fill():
    """Make a club that holds some of everything."""
    from scoring import conducting

    organiser = cast.make_organiser(name="organiser")
    organiser.set_password("a secret")
    organiser.save()
    club, table, cup = Club.objects.the_first(), cast.make_table(), cast.make_competition()
    mira, joost = cast.make_player("Quendal", user=cast.make_user("mira")), cast.make_player("Vilemeer")
    ExternalNumber.objects.create(player=mira, issuer="Union", number="007")
    conducting.do_record(cup, "enter", {"players": [mira.pk, joost.pk]}, Author(user_id=organiser.pk))
    match = played(mira, joost, 12, competition=cup, table=table)
    promise(match)
    sent = {
        "uuid": "00000000-0000-4000-8000-000000000001",
        "after": 0,
        "kind": "void",
        "target": 3,
        "why": "slip",
    }
    ledger.append(
        match.pk, sent | {"after": MatchProjection.objects.get(pk=match.pk).seq}, Author(organiser.pk)
    )
    late = {"uuid": "00000000-0000-4000-8000-000000000002", "after": 0, "kind": "miss"}
    ledger.append(match.pk, late, Author(organiser.pk))
    Pen.objects.create(match=match, device="tablet", token_hash="0" * 64)
    batch = importing.do_open_batch(club, organiser, "results", "old.csv", RESULTS.encode(), cup)
    importing.do_set(batch, {"same_names": True})
    importing.do_write(batch, organiser)
    do_merge(Player.objects.get(name__family="Astavik"), cast.make_player("Astavik"), organiser)
    cast.make_session(mira)
    cast.make_position(mira.user)
    do_add_rule_set(club, {"code": "own", "name": "Own", "rail_frozen": "uncounted"})
    do_set_distance(club, mira, "three-cushion", 25, since=timezone.localdate(), user=organiser)
    MeasuredSet.objects.create(table=table, measured_by=organiser, readings={"long": [1.5, 2.25]})
    LookedAt.objects.create(match=match, kind="runs", seq=3, by=organiser)
    return match


def empty():
    """Empty the database to what a new one holds."""
    with connection.cursor() as cursor:
        for model in [*WORKED_OUT, *(one.model for one in reversed(shapes()))]:
            cursor.execute(f'DELETE FROM "{model._meta.db_table}"')


def written(**options) -> bytes:
    file = io.BytesIO()
    write_archive(file, **options)
    return file.getvalue()


def changed(data: bytes, name: str, old: bytes, new: bytes, mend: bool) -> bytes:
    """Return an archive with one member changed; mend: and its sum in the manifest."""
    import hashlib

    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w") as target:
        members = {one: source.read(one) for one in source.namelist()}
        assert old in members[name]
        members[name] = members[name].replace(old, new, 1)
        if mend:
            manifest = json.loads(members["manifest.json"])
            told = next(one for one in manifest["members"] if one["name"] == name)
            told["sha256"] = hashlib.sha256(members[name]).hexdigest()
            members["manifest.json"] = json.dumps(manifest).encode()
        for one, contents in members.items():
            target.writestr(one, contents)
    return out.getvalue()


@pytest.mark.django_db
@pytest.mark.both_databases
def test_out_in_and_out_again_is_the_same_to_the_byte():
    match = fill()
    rows = {shape.name: shape.model._default_manager.count() for shape in shapes()}
    sums = list(StandingSums.objects.order_by("competition", "player", "group").values_list("player", "sums"))
    first = written()
    empty()
    manifest = read_archive(io.BytesIO(first))
    assert written() == first
    assert {
        one["name"].removesuffix(".jsonl"): one["rows"] for one in manifest["members"]
    }.items() >= rows.items()
    assert all(rows[name] for name in ("analytics.prediction", "scoring.refusedentry", "scoring.entrytext"))
    again = StandingSums.objects.order_by("competition", "player", "group").values_list("player", "sums")
    assert list(again) == sums
    assert (
        Prediction.objects.filter(match=match, kind="blind").count()
        == FollowedMatch.objects.get(match=match).kept
    )
    # New rows are numbered behind those that kept their numbers.
    assert cast.make_player("Brinsel").pk > max(
        one.pk for one in Player.objects.exclude(name__family="Brinsel")
    )
    assert not get_user_model().objects.get(username="organiser").has_usable_password()
    assert Pen.objects.count() == 0


@pytest.mark.django_db
def test_passwords_come_along_only_where_asked():
    fill()
    first = written(passwords=True)
    assert b'"password"' not in zipfile.ZipFile(io.BytesIO(written())).read("clubsite.user.jsonl")
    empty()
    assert read_archive(io.BytesIO(first))["passwords"]
    assert get_user_model().objects.get(username="organiser").check_password("a secret")
    assert written(passwords=True) == first


@pytest.mark.django_db
def test_what_is_not_empty_or_not_as_it_was_written_is_refused(monkeypatch):
    fill()
    data = written()
    with pytest.raises(Refused) as refused:
        read_archive(io.BytesIO(data))
    assert refused.value.code == "not-empty"
    empty()
    entries = "scoring.matchentry.jsonl"
    for bad, code in (
        (b"no zip", "unreadable"),
        (changed(data, entries, b'"kind":"miss"', b'"kind":"point"', mend=False), "changed"),
        (changed(data, entries, b'"kind":"miss"', b'"kind":"point"', mend=True), "not-proved"),
        (changed(data, "proofs.jsonl", b'"sha256":"', b'"sha256":"0', mend=True), "not-proved"),
        (changed(data, "manifest.json", b'"version": 1', b'"version": 2', mend=False), "unreadable"),
        (changed(data, "scoring.player.jsonl", b'"guest"', b'"guests"', mend=True), "unreadable"),
        (
            changed(data, "scoring.match.jsonl", b'"created_at":"20', b'"created_at":"zz', mend=True),
            "unreadable",
        ),
        (changed(data, "scoring.player.jsonl", b"{", b"[{", mend=True), "unreadable"),
        (changed(data, "proofs.jsonl", b'"match":', b'"match":77', mend=True), "unreadable"),
        (changed(data, "manifest.json", b"{", b"[1]\n{", mend=False), "unreadable"),
    ):
        with pytest.raises(Refused) as refused:
            read_archive(io.BytesIO(bad))
        assert refused.value.code == code
        assert (MatchEntry.objects.count(), Match.objects.count(), Player.objects.count()) == (0, 0, 0)
    assert PracticePosition.objects.count() == 0
    monkeypatch.setattr(reading, "LONGEST_LINE", 50)
    with pytest.raises(Refused) as refused:
        read_archive(io.BytesIO(data))
    assert refused.value.code == "unreadable"


@pytest.mark.django_db
def test_only_an_administrator_fetches_it():
    fill()
    address = reverse("club-archive")
    assert cast.client_for(cast.make_organiser()).post(address).status_code == 403
    keeper = cast.client_for(cast.make_role("administrator"))
    assert keeper.get(address).status_code == 200
    answer = keeper.post(address)
    names = zipfile.ZipFile(io.BytesIO(answer.getvalue())).namelist()
    assert {"manifest.json", "proofs.jsonl", "scoring.matchentry.jsonl"} <= set(names)
