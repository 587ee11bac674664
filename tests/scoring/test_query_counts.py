"""How often pages and calls ask the database: a committed baseline, whatever the amount of data.

After a change that is meant, write the new figures: `UPDATE_QUERY_COUNTS=1 pytest <this file>`.
"""

import json
import os
import uuid
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from scoring.coaching import do_agree, do_ask
from scoring.drawing import Asked, do_draw
from scoring.models import Competition, Match, MatchProjection, Player, Role, Stage
from scoring.pens import do_take_pen
from tests.cast import (
    CAST,
    client_for,
    make_competition,
    make_match,
    make_organiser,
    make_player,
    make_role,
    make_table,
    make_user,
)
from tests.scoring.event.playing import result
from tests.scoring.pages.writing import ORGANISER, innings, opened, write

pytestmark = pytest.mark.django_db

FILE = Path(__file__).with_name("query_counts.json")
PAGES = {
    "home": "/",
    "matches": "/matches/",
    "match": "/matches/{match}/",
    "match-sheet": "/matches/{match}/sheet/",
    "match-score": "/matches/{match}/score/",
    "players": "/players/",
    "player": "/players/{player}/",
    "player-report": "/players/{player}/report/",
    "api-player-report": "/api/players/{player}/report/",
    "player-practise": "/players/{player}/practise/",
    "api-player-practise": "/api/players/{player}/practise/",
    "api-player-calibration": "/api/players/{player}/calibration/",
    "match-story": "/matches/{match}/story/",
    "player-against": "/players/{player}/against/{other}/",
    "api-match-story": "/api/matches/{match}/story/",
    "api-player-against": "/api/players/{player}/against/{other}/",
    "player-family": "/players/{player}/families/bank/",
    "season": "/season/",
    "api-player-family": "/api/players/{player}/families/bank/",
    "api-season": "/api/season/",
    "competitions": "/competitions/",
    "competition-day": "/competitions/{competition}/day/",
    "competition-call-list": "/competitions/{competition}/calls/",
    "api-competition-day": "/api/competitions/{competition}/day/",
    "api-matches": "/api/matches/",
    "api-match": "/api/matches/{match}/",
    "api-match-innings": "/api/matches/{match}/innings/",
    "api-match-entries": "/api/matches/{match}/entries/",
    "api-players": "/api/players/",
    "api-competitions": "/api/competitions/",
}


def counted(name: str, count: int) -> None:
    """Compare with the baseline, or write it where that was asked for."""
    known = json.loads(FILE.read_text()) if FILE.exists() else {}
    if os.environ.get("UPDATE_QUERY_COUNTS"):
        FILE.write_text(json.dumps(known | {name: count}, indent=1, sort_keys=True) + "\n")
    else:
        assert count == known[name]


def matches(number: int, length: int) -> Match:
    """Return the last of `number` matches of `length` innings, in one public competition."""
    competition = make_competition(f"Groups of {number}", published=True)
    names = list(CAST)
    for at in range(number):
        pair = [
            make_player(names[(2 * at + side) % len(names)], consent="full", published=True)
            for side in (0, 1)
        ]
        match = opened(
            make_match(*pair, competition=competition, table=make_table(f"Table {at}"), distance=(90, 90))
        )
        innings(match, *([1, 0] * (length // 2)))
    return match


def asked(client, address: str) -> int:
    client.get(address)  # what is read once a process is read
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200, address
    return len(queries)


@pytest.fixture(scope="module")
def read(django_db_setup, django_db_blocker) -> dict[str, list[int]]:
    """How often each page asks, in a club with little and again with more; the clubs are made once."""
    counts: dict[str, list[int]] = {name: [] for name in PAGES}
    with django_db_blocker.unblock(), transaction.atomic():
        client = client_for(make_organiser())
        for number, length in ((1, 4), (4, 10)):
            match = matches(number, length)
            about = {"match": match.pk, "player": match.entrant_a_id, "other": match.entrant_b_id}
            about["competition"] = match.competition_id
            for name, address in PAGES.items():
                counts[name].append(asked(client, address.format(**about)))
        transaction.set_rollback(True)
    return counts


@pytest.mark.parametrize("name", PAGES)
def test_reading_asks_as_often_as_the_baseline_whatever_the_amount(name, read):
    few, many = read[name]
    assert few == many
    counted(name, few)


DRAWN = {
    "entrants": "",
    "stages": "",
    "draw": "?stage={knockout}&from={groups}",
    "drawn": "",
    "groups": "",
    "bracket": "",
    "history": "",
}


def drawn_up(players: int) -> Competition:
    """Return a competition of groups of three, played, whose firsts and seconds have begun a knock-out."""
    cup = make_competition(f"Weekend of {players}", published=True)
    ids = [make_player(name, consent="full", published=True).pk for name in (list(CAST) * 2)[:players]]
    form = {"distance": [5, 5]}
    do_draw(cup, Asked("round-robin", ids, groups=players // 3, format=form), ORGANISER)
    for _round in range(3):
        for match in Match.objects.filter(competition=cup, projection__status="planned"):
            result(match, min(match.entrant_ids))
    going_on = [pk for at, pk in enumerate(ids) if at < 2 * players // 3]
    do_draw(cup, Asked("knockout", going_on, format=form), ORGANISER)
    result(Match.objects.filter(competition=cup, projection__status="planned").order_by("tie")[0], None)
    return cup


def test_pages_of_a_draw_ask_as_often_however_many_groups_it_has():
    client, found = client_for(make_organiser()), []
    make_player("Wessing")  # somebody who can still be entered
    for players in (6, 12):
        cup = drawn_up(players)
        ids = {one.kind: one.pk for one in Stage.objects.filter(competition=cup)}
        pages = {
            name: f"/competitions/{cup.pk}/{name}/{query}".format(**ids) for name, query in DRAWN.items()
        }
        found.append({name: asked(client, address) for name, address in pages.items()})
    assert found[0] == found[1]
    for name, count in found[0].items():
        counted(f"competition-{name}", count)


@pytest.mark.parametrize(("name", "address"), [("coach", "/coach/"), ("api-coach", "/api/coach/")])
def test_a_coach_reads_many_pupils_as_often_as_one(name, address):
    counts = []
    coach = make_role(Role.Kind.COACH)
    client = client_for(coach)
    for number, length in ((1, 4), (3, 10)):
        match = matches(number, length)
        for pk in (match.entrant_a_id, match.entrant_b_id)[:number]:
            do_agree(do_ask(coach, Player.objects.get(pk=pk)).pk)
        counts.append(asked(client, address))
    assert counts[0] == counts[1]
    counted(name, counts[0])


def appended(client, match: Match, **fields) -> int:
    body = {"uuid": str(uuid.uuid4()), "after": MatchProjection.objects.get(match=match).seq} | fields
    with CaptureQueriesContext(connection) as queries:
        answer = client.post(f"/api/matches/{match.pk}/entries/", body, format="json")
    assert answer.status_code == 201
    return len(queries)


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("append-point", {"kind": "point"}),
        ("append-inning", {"kind": "inning", "run": 2}),
        ("append-correction", {"kind": "inning", "run": 2, "instead_of": 3, "why": "miscounted"}),
        ("append-strike-out", {"kind": "void", "target": 3}),
    ],
)
def test_writing_asks_as_often_late_in_a_match_as_early(name, fields):
    counts = []
    # Rows of a fold are written in lots, so a correction of a very long match asks once more.
    for length in (4, 30):
        match = matches(1, length)
        _, token = do_take_pen(match.pk, "tablet")
        counts.append(appended(client_for(bearer=token), match, **fields))
    assert counts[0] == counts[1]
    counted(name, counts[0])


def test_a_signed_in_writer_asks_as_often_as_the_baseline():
    match = matches(1, 4)
    organiser = client_for(make_organiser())
    appended(organiser, match, kind="miss")
    counted("append-signed-in", appended(organiser, match, kind="miss"))


def test_players_with_accounts_are_read_as_often(client):
    match = matches(1, 4)
    user = make_user()
    Player.objects.filter(pk=match.entrant_a_id).update(user=user)
    write(match, "concede", player=match.entrant_a_id)
    counted("player-own", asked(client_for(user), f"/players/{match.entrant_a_id}/"))
