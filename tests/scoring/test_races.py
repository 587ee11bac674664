"""Writers at once: everything acknowledged is stored exactly once, in order, and adds up."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import threading
import time
import uuid
from pathlib import Path

import pytest
from django.db import IntegrityError, OperationalError, connection, transaction

from scoring import ledger
from scoring.ledger import Author
from scoring.models import Match, MatchEntry, MatchProjection, Pen, RefusedEntry
from scoring.rebuilding import do_rebuild
from tests.cast import client_for, make_competition, make_match, make_player, make_referee
from tests.scoring.racing import an_inning, together, write_all

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]

OPEN_END = {"distance": (None, None), "format": {"innings_limit": 500}}
WRITERS, ENTRIES = 3, 12
ROOT = Path(__file__).resolve().parents[2]


def begun(family_a: str = "Quendal", family_b: str = "Vilemeer", **fields) -> Match:
    """Return an opened match that goes on for as long as a test writes."""
    match = make_match(make_player(family_a), make_player(family_b), **OPEN_END, **fields)
    opened = {"uuid": str(uuid.uuid4()), "after": 0, "kind": "open", "starter": match.entrant_a_id}
    ledger.append(match.pk, opened, Author())
    return match


def check_whole(match: Match, entries: int) -> None:
    """Check that the ledger holds so many entries without a gap, and that all adds up to them."""
    assert list(match.entries.order_by("seq").values_list("seq", flat=True)) == list(range(1, entries + 1))
    assert MatchProjection.objects.get(match=match).seq == entries
    assert do_rebuild(match.pk) == []


@pytest.fixture
def turned_away(monkeypatch) -> list[Exception]:
    """What the database refused: with the lock on, it never has to refuse an append."""
    seen: list[Exception] = []
    attempt = ledger._append_list

    def watched(*arguments):
        try:
            return attempt(*arguments)
        except (IntegrityError, OperationalError) as error:
            seen.append(error)
            raise

    monkeypatch.setattr(ledger, "_append_list", watched)
    return seen


def test_writers_of_one_match_take_turns(turned_away):
    match = begun()
    answers = together(*[lambda n=n: write_all(match.pk, f"writer {n}", ENTRIES) for n in range(WRITERS)])
    assert sorted(seq for seqs in answers for seq in seqs) == list(range(2, WRITERS * ENTRIES + 2))
    assert turned_away == []
    check_whole(match, WRITERS * ENTRIES + 1)


def test_many_matches_at_once_do_not_disturb_one_another(turned_away):
    families = [("Quendal", "Vilemeer"), ("Astavik", "Karnhof"), ("Brinsel", "Oudewaal")]
    matches = [begun(*pair) for pair in families]
    jobs = [lambda m=match, n=n: write_all(m.pk, f"writer {n}", 8) for match in matches for n in range(2)]
    answers = together(*jobs)
    assert [len(seqs) for seqs in answers] == [8] * len(jobs)
    assert turned_away == []
    for match in matches:
        check_whole(match, 17)


def test_processes_take_turns(turned_away):
    match = begun()
    database = connection.settings_dict["NAME"]
    connection.close()
    command = [sys.executable, "tests/scoring/racing.py", database, str(match.pk)]
    environ = os.environ | {"PYTHONPATH": str(ROOT), "DJANGO_SETTINGS_MODULE": "tests.settings"}
    processes = [
        subprocess.Popen(
            [*command, f"process {number}", "25"],
            cwd=ROOT,
            env=environ,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for number in range(2)
    ]
    told = [process.communicate(timeout=60) for process in processes]
    assert [stderr for _, stderr in told] == ["", ""]
    seqs = [int(seq) for stdout, _ in told for seq in stdout.split()]
    assert sorted(seqs) == list(range(2, 52))
    check_whole(match, 51)


def until_somebody_waits(asked: threading.Event) -> None:
    """Return once another writer has come to a lock that is held."""
    asked.wait(timeout=20)
    if connection.vendor == "sqlite":
        time.sleep(0.3)  # nobody can ask it who waits
        return
    for _ in range(400):
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT count(*) FROM pg_stat_activity"
                " WHERE datname = current_database() AND wait_event_type = 'Lock'"
            )
            if cursor.fetchone()[0]:
                return
        time.sleep(0.02)
    raise RuntimeError("nobody waits")


def one_behind_the_other(match: Match, asked: threading.Event, second_asks: bool = True) -> list:
    """Let a second writer come while the first has written and not yet committed."""
    written = threading.Event()

    def first():
        with transaction.atomic():
            outcome, state = ledger.append(match.pk, an_inning("first", 1), Author())
            written.set()
            until_somebody_waits(asked)
        return outcome, state

    def second():
        written.wait(timeout=20)
        if second_asks:
            asked.set()
        return ledger.append(match.pk, an_inning("second", 1), Author())

    return together(first, second)


def test_who_waited_judges_by_what_stands_now(turned_away):
    """The second writer waits for the first, and then sees what the first one wrote."""
    match = begun()
    (stored, _), (refused, state) = one_behind_the_other(match, threading.Event())
    assert (stored.status, stored.seq) == ("stored", 2)
    assert (refused.status, refused.code) == ("refused", "stale")
    assert state["seq"] == 2
    assert turned_away == []
    check_whole(match, 2)


# The control: the same two writers without the lock.


@pytest.fixture
def unlocked(monkeypatch):
    """Let transactions begin as readers, as SQLite does of itself."""
    if connection.vendor == "sqlite":
        monkeypatch.setitem(connection.settings_dict["OPTIONS"], "transaction_mode", "DEFERRED")
        connection.close()


def test_without_the_lock_the_race_shows(monkeypatch, turned_away, unlocked):
    match = begun()
    both_read = threading.Barrier(2)
    met = threading.local()

    def read(match_id):
        """Read the match as if nobody else wrote; both have read before either goes on."""
        found = Match.objects.select_related("projection").get(pk=match_id)
        if not hasattr(met, "once"):
            met.once = True
            both_read.wait(timeout=20)
        return found

    monkeypatch.setattr(ledger, "lock", read)
    together(
        lambda: ledger.append(match.pk, an_inning("first", 1), Author()),
        lambda: ledger.append(match.pk, an_inning("second", 1), Author()),
    )
    assert len(turned_away) == 1
    told = str(turned_away[0])
    assert ("locked" if connection.vendor == "sqlite" else "seq_once_a_match") in told


def test_a_projection_read_before_the_wait_is_stale(monkeypatch, turned_away, unlocked):
    """Why the projection itself is locked: joined to a locked row it is as old as the question."""
    match = begun()
    asked = threading.Event()
    writers: list[int] = []

    def lock_and_read_along(match_id):
        found = Match.objects.select_for_update(of=("self",)).select_related("projection").get(pk=match_id)
        writers.append(match_id)
        if len(writers) == 2:
            asked.set()
        return found

    monkeypatch.setattr(ledger, "lock", lock_and_read_along)
    waits = connection.vendor != "sqlite"  # there the lock is off, and the second reads at once
    one_behind_the_other(match, asked, second_asks=waits)
    assert len(turned_away) == 1


# Retries


@pytest.mark.parametrize("seed", range(2))
def test_retries_in_any_order_store_the_log_of_a_device_once(seed, turned_away):
    """Singles, lists and duplicates of one log, sent by several deliveries at once."""
    match = begun()
    client_user = make_referee(name="scorer")
    log = [an_inning(f"log {seed} {number}", number + 1, number % 4) for number in range(16)]
    url = f"/api/matches/{match.pk}/entries/"
    statuses: list[int] = []

    def deliver(number: int) -> int:
        dice = random.Random(seed * 100 + number)
        client = client_for(client_user)
        rounds = 0
        while (known := match.entries.count() - 1) < len(log) and rounds < 400:
            rounds += 1
            begin = dice.randrange(min(len(log), known + 3))
            part = log[begin : begin + dice.choice([1, 1, 3, 8])]
            part = part + part[: dice.choice([0, 0, 1])] if dice.random() < 0.5 else part
            body = part[0] if len(part) == 1 else part
            statuses.append(client.post(url, body, format="json").status_code)
        return rounds

    match.competition = make_competition(published=True)
    match.save()
    answers = together(*[lambda n=n: deliver(n) for n in range(WRITERS)])
    assert all(isinstance(rounds, int) for rounds in answers), answers
    assert set(statuses) <= {200, 201, 409}
    assert turned_away == []
    check_whole(match, len(log) + 1)
    stored = [str(entry.uuid) for entry in match.entries.order_by("seq")]
    assert stored[1:] == [entry["uuid"] for entry in log]
    again = client_for(client_user).post(url, log[::-1], format="json").json()["results"]
    assert [(one["status"], one["seq"]) for one in again] == [
        ("known", seq) for seq in range(len(log) + 1, 1, -1)
    ]


def test_one_uuid_in_two_matches_at_once_is_stored_in_one():
    """Crosswise lists: the database turns one of them away, and its second try knows the others."""
    here, there = begun(), begun("Astavik", "Karnhof")
    for number in range(2):
        part = [an_inning(f"shared {number} {place}", 1) for place in range(12)]
        one, other = together(
            lambda part=part: ledger.append_list(here.pk, _after(here, part), Author()),
            lambda part=part: ledger.append_list(there.pk, _after(there, part[::-1]), Author()),
        )
        stored = [str(outcome.uuid) for outcome in one[0] + other[0] if outcome.status == "stored"]
        assert len(stored) == len(set(stored))
        refused = {outcome.code for outcome in one[0] + other[0] if outcome.status == "refused"}
        assert refused <= {"uuid-known", "follows-refused"}
        assert MatchEntry.objects.filter(uuid__in=[entry["uuid"] for entry in part]).count() == len(stored)
    for match in (here, there):
        check_whole(match, match.entries.count())


def _after(match: Match, part: list[dict]) -> list[dict]:
    seq = MatchProjection.objects.get(match=match).seq
    return [entry | {"after": seq} for entry in part]


# The pen


def test_a_pen_taken_over_amid_writes_writes_no_more(turned_away):
    competition = make_competition(published=True)
    match = begun(competition=competition)
    referee = make_referee(competition)
    url = f"/api/matches/{match.pk}/"
    statuses: list[int] = []

    def device(number: int) -> int:
        wanted = client_for(referee)
        taken = 0
        for turn in range(4):
            body = {"device": f"tablet {number}", "take_over": True}
            answer = wanted.post(url + "pen/", body, format="json")
            statuses.append(answer.status_code)
            taken += answer.status_code == 201
            own = client_for(bearer=answer.json()["token"])
            for entry in range(6):
                after = MatchProjection.objects.get(match=match).seq
                sent = an_inning(f"{number} {turn} {entry}", after)
                statuses.append(own.post(url + "entries/", sent, format="json").status_code)
                if statuses[-1] == 401:
                    break
        return taken

    answers = together(*[lambda n=n: device(n) for n in range(WRITERS)])
    assert answers == [4] * WRITERS
    assert set(statuses) <= {201, 401, 409}
    assert {201, 409} <= set(statuses)
    assert turned_away == []
    written_by = [entry.author_pen_id for entry in match.entries.order_by("seq")][1:]
    # Pens are numbered as they are taken: none writes after a later one was handed out and wrote.
    assert written_by == sorted(written_by)
    assert Pen.objects.filter(match=match, ended_at__isnull=True).count() == 1
    assert RefusedEntry.objects.filter(match=match).exclude(code__in=["stale", "pen-elsewhere"]).count() == 0
    check_whole(match, len(written_by) + 1)
