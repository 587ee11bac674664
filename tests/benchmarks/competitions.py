"""Standings and schedules do not become dearer as they need not: a league of 253 and of 2,530 matches.

Printed: standings and schedule read of ten times the matches, by as many players and by ten times as
many; the entry that confirms a match beside 253 and 2,530 finished ones of others, and where the two
players met ten times as often themselves; the plan of a day of 128 players on 16 tables, with its end
against the bound below which no plan can end.
"""

from __future__ import annotations

import random
import statistics
import time
import uuid
from collections.abc import Sequence
from itertools import combinations
from typing import Any

from tests.benchmarks.bench import database, interleaved, tell

TIMES = 15
CONFIRMED = 30
# What each match has of its own; the rest is copied from a pattern.
OWN = {"id", "uuid", "competition", "group", "encounter", "board", "entrant_a", "entrant_b"}


def main() -> None:
    with database():
        from django.conf import settings
        from django.test.utils import override_settings

        plain = {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
        with override_settings(STORAGES=settings.STORAGES | plain):
            _leagues()
        _entries()
    _plans()


def _leagues() -> None:
    from django.contrib.auth import get_user_model

    from scoring.access import Actor
    from scoring.programme import read_schedule, schedule_rows
    from scoring.standing import read_standings
    from tests.cast import client_for

    organiser = get_user_model().objects.create_superuser("desk", password=None)
    client, actor = client_for(organiser), Actor(organiser)
    cups = {
        "253 matches, 23 players": _league("one", 1, 1),
        "2,530 matches, 23 players": _league("often", 1, 10),
        "2,530 matches, 230 players": _league("many", 10, 1),
    }

    def page(cup: Any, address: str) -> None:
        answer = client.get(f"/competitions/{cup.pk}/{address}/")
        if answer.status_code != 200:
            raise AssertionError(answer.status_code)

    works = {
        "standings, read": read_standings,
        "standings, page": lambda cup: page(cup, "standings"),
        "schedule, read": lambda cup: schedule_rows(read_schedule(cup), actor),
        "schedule, page": lambda cup: page(cup, "schedule"),
    }
    for name, work in works.items():
        calls = [lambda cup=cup, work=work: work(cup) for cup in cups.values()]
        taken = interleaved(TIMES, *calls, warm=2)
        middles = [tell(f"{name}: {size}", found) for size, found in zip(cups, taken, strict=True)]
        ratios = ", ".join(f"{one / middles[0]:.2f}" for one in middles[1:])
        print(f"Against the first: {ratios}.\n")


def _entries() -> None:
    """Time what confirms a match; the matches themselves are made and played outside the clock."""
    few, many = _league("few", 1, 1), _league("a lot", 10, 1)
    own = _league("own", 1, 10)
    found: dict[str, list[float]] = {"253 others": [], "2,530 others": [], "ten times the own": []}
    for _ in range(CONFIRMED):
        for name, cup in zip(found, (few, many, own), strict=True):
            found[name].append(_confirmation(cup))
    first, second, third = (tell(f"confirming beside {name}", taken) for name, taken in found.items())
    print(f"2,530 finished matches against 253: {second / first:.2f} (goal: about 1).")
    print(f"The same players with ten times the own matches: {third / first:.2f}.\n")


def _confirmation(cup: Any) -> float:
    from scoring import ledger
    from scoring.models import StandingSums
    from tests.cast import make_match
    from tests.scoring.pages.writing import ORGANISER, innings, opened

    one, two = [
        row.player for row in StandingSums.objects.filter(competition=cup, group=None).order_by("pk")[:2]
    ]
    match = opened(make_match(one, two, competition=cup))
    innings(match, 5, 0)
    sent = {"uuid": str(uuid.uuid4()), "after": 3, "kind": "confirm"}
    begun = time.perf_counter()
    outcome, _state = ledger.append(match.pk, sent, ORGANISER)
    taken = time.perf_counter() - begun
    if outcome.status != "stored":
        raise AssertionError(outcome.reason)
    # Taken away again, so that every confirmation finds the same league.
    match.stroke_projections.all().delete()
    match.colour_projections.all().delete()
    match.projection.delete()
    match.entries.all().delete()
    match.delete()
    return taken


def _league(name: str, leagues: int, rounds: int) -> Any:
    """Return a league of 23 players a part, all of whose matches are confirmed."""
    from scoring.models import Group, Player, Stage
    from scoring.summing import do_add_up
    from tests.cast import make_competition

    dice = random.Random(name)
    cup = make_competition(name, published=True)
    stage = Stage.objects.create(competition=cup, name="League", kind=Stage.Kind.GROUPS)
    for number in range(leagues):
        group = Group.objects.create(stage=stage, name=str(number + 1), order=number)
        players = [Player.objects.enrol("Ada", f"{name} {number} {at}") for at in range(23)]
        pairs = [pair for pair in combinations(players, 2) for _ in range(rounds)]
        write(cup, group, pairs, dice)
    do_add_up(cup.pk)
    return cup


def write(
    cup: Any, group: Any, pairs: Sequence[Any], dice: random.Random, encounter: Any = None
) -> list[Any]:
    """Write confirmed matches as rows, with the state that the ledger would have left.

    encounter: they are its boards, in order.
    """
    from django.utils import timezone

    from scoring import projecting
    from scoring.models import ColourProjection, Match, MatchProjection
    from scoring.rules.match.entry import Entry
    from scoring.rules.match.play import append
    from scoring.rules.match.state import start
    from tests.cast import make_match

    pattern = make_match(*pairs[0], distance=(9, 9))
    shared = {
        field.name: getattr(pattern, field.name)
        for field in Match._meta.concrete_fields
        if field.name not in OWN
    }
    matches = Match.objects.bulk_create(
        Match(
            **shared,
            competition=cup,
            group=group,
            encounter=encounter,
            board=None if encounter is None else board,
            entrant_a=one,
            entrant_b=two,
        )
        for board, (one, two) in enumerate(pairs, 1)
    )
    totals, colours = [], []
    now = timezone.now()
    for match in matches:
        setup = projecting.setup_of(match)
        state, seq = start(setup), 0
        runs = [dice.randint(0, 3) for _ in range(8)]
        entries = [("open", {"starter": match.entrant_a_id, "decided_by": "lag"})]
        entries += [("inning", {"run": run}) for run in runs]
        entries += [("concede", {"player": match.entrant_b_id}), ("confirm", {})]
        for kind, fields in entries:
            if state["over"] and kind != "confirm":
                continue
            seq += 1
            by = state["turn"] if kind == "inning" else None
            state, _row = append(setup, state, Entry(kind, fields, seq, str(uuid.uuid4()), by))
        dated = dict.fromkeys(range(1, seq + 1), now)
        columns = projecting.match_columns(state, dated)
        totals.append(MatchProjection(match=match, state=state, last_at=now, **columns))
        colours += [
            ColourProjection(match=match, colour=side, **projecting.colour_columns(setup, state, side))
            for side in projecting.COLOURS
        ]
    MatchProjection.objects.bulk_create(totals, batch_size=500)
    ColourProjection.objects.bulk_create(colours, batch_size=500)
    return matches


def _plans() -> None:
    from scoring.rules.planning import plan
    from tests.scoring.rules.test_planning import big_day, tables

    jobs = big_day()
    taken = []
    for _ in range(5):
        begun = time.process_time()
        made = plan(jobs, tables(16), rest=10)
        taken.append(time.process_time() - begun)
    seconds, end = statistics.median(taken), made.end or 0
    print(
        f"A day of 128 players, {len(jobs)} matches on 16 tables: {seconds:.2f} s (goal: under 2),"
        f" over after {end} minutes, {end / made.bound:.3f} times the bound."
    )


if __name__ == "__main__":
    main()
