"""Reads fixtures/demo-events.json: a weekend in its first day, a closed evening, a season of teams, handicaps."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.conf import settings

from clubsite.demo import league
from clubsite.demo.book import Book
from clubsite.demo.club import DemoClub
from clubsite.demo.fixture import begins_at, named
from scoring.closing import do_close
from scoring.drawing import Asked, do_draw, do_make_stage
from scoring.entering import do_enter, do_leave, do_mark, do_seed
from scoring.handicapping import Request, do_propose, do_set_distance
from scoring.ledger import Author
from scoring.models import HandicapDistance, HandicapProposal, Role
from scoring.people import do_give_role
from scoring.publishing import do_notice, do_publish
from scoring.rules.event.draws import KNOCKOUT, ROUND_ROBIN
from scoring.rules.handicaps import METHODS
from scoring.running import do_act

PATH = Path(settings.BASE_DIR) / "fixtures" / "demo-events.json"
HELD = ("weekend", "evening", "league")
# Minutes between the matches of an evening.
APART = 25


def read() -> dict[str, Any]:
    """Return the events as the file has them."""
    told: dict[str, Any] = json.loads(PATH.read_text(encoding="utf-8"))
    return told


def joined(fixture: Mapping[str, Any], events: Mapping[str, Any]) -> dict[str, Any]:
    """Return the demo club with the tables, the players and the competitions of the events."""
    added = {name: [*fixture[name], *events.get(name, ())] for name in ("tables", "players")}
    held = [events[name]["competition"] for name in HELD if name in events]
    return dict(fixture) | added | {"competitions": [*fixture["competitions"], *held]}


def do_hold_events(demo: DemoClub, events: Mapping[str, Any]) -> None:
    """Write what is missing of the events. Raises NotAccepted where a match does not take an entry."""

    if "handicaps" in events:
        _set_distances(demo, events["handicaps"])
    if "evening" in events:
        _hold_evening(Book(demo, events["evening"]))
    if "league" in events:
        league.do_hold(Book(demo, events["league"]))
    if "weekend" in events:
        _hold_weekend(Book(demo, events["weekend"]))
    if "handicaps" in events:
        _propose_distances(demo, events["handicaps"])


# --- a weekend -----------------------------------------------------------------


def _hold_weekend(book: Book) -> None:
    row = book.row
    last = f"{len(row['steps']) - 1}:{row['steps'][-1]['do']}"
    if book.open(last) is None:
        return
    book.begin()
    _enter_weekend(book)
    _draw_weekend(book)
    for name in row["organisers"]:
        user = book.demo.users[name]
        if not Role.objects.filter(user=user, competition=book.competition).exists():
            do_give_role(user, "organiser", club=book.demo.club, competition=book.competition)
    _open_day(book)
    for place, step in enumerate(row["steps"]):
        _STEPS[step["do"]](book, step, f"{place}:{step['do']}")


def _enter_weekend(book: Book) -> None:
    row, entrants = book.row, book.players(book.row["entrants"])
    if uuid := book.open("enter"):
        do_enter(book.competition, entrants, book.author, uuid=uuid)
    if uuid := book.open("reserve"):
        do_enter(book.competition, book.players([row["reserve"]]), book.author, reserve=True, uuid=uuid)
    if uuid := book.open("strength"):
        do_seed(book.competition, entrants, book.author, uuid=uuid)
    for code, player in zip(row["entrants"], entrants, strict=True):
        if uuid := book.open(f"present:{code}"):
            do_mark(book.competition, "present", player, book.author, uuid=uuid)


def _draw_weekend(book: Book) -> None:
    row = book.row
    if uuid := book.open("draw"):
        asked = Asked(
            "groups",
            book.players(row["entrants"]),
            format=row["competition"]["format"],
            way="pots",
            seed=row["seed"],
            groups=row["groups"],
        )
        do_draw(book.competition, asked, book.author, uuid=uuid)
    if uuid := book.open("finals"):
        do_make_stage(book.competition, KNOCKOUT, row["knockout"], book.author, uuid=uuid)
    if uuid := book.open("publish"):
        do_publish(book.competition, book.author, asked=row["publish"], uuid=uuid)
    if uuid := book.open("notice"):
        do_notice(book.competition, book.author, row["notice"], uuid=uuid)


def _open_day(book: Book) -> None:
    tables = [book.demo.tables[number].pk for number in book.row["tables"]]
    referees = book.players([*book.row["entrants"], book.row["reserve"]])
    for act, fields in (
        ("tables-in-use", {"tables": tables}),
        ("referees", {"players": referees}),
        ("day-open", {}),
    ):
        if uuid := book.open(act):
            do_act(book.competition, act, fields, book.author, uuid)


def _call(book: Book, step: Mapping[str, Any], name: str) -> None:
    """Call a match. What was played hours ago is called now, so nobody has rested by the clock."""
    if uuid := book.open(name):
        fields = {
            "match": book.match(step["players"]).pk,
            "table": book.demo.tables[step["table"]].pk,
            "referee": book.players([step["referee"]])[0] if "referee" in step else None,
            "anyway": True,
        }
        do_act(book.competition, "call", fields, book.author, uuid)


def _play(book: Book, step: Mapping[str, Any], name: str) -> None:
    author = Author(user_id=book.demo.users["referee"].pk)
    book.write(book.match(step["players"]), {**step, "code": f"{book.code}:{name}"}, author)


def _withdraw(book: Book, step: Mapping[str, Any], name: str) -> None:
    if uuid := book.open(name):
        player = book.players([step["player"]])[0]
        do_leave(book.competition, "withdraw", player, step["why"], book.author, uuid=uuid)


_STEPS = {"call": _call, "play": _play, "withdraw": _withdraw}


# --- an evening ----------------------------------------------------------------


def _hold_evening(book: Book) -> None:
    """Draw a round robin, write its sheets, publish all of it and close it."""
    row = book.row
    if book.open("close") is None:
        return
    book.begin()
    if uuid := book.open("draw"):
        asked = Asked(
            ROUND_ROBIN, book.players(row["entrants"]), name=row["stage"], way="ranking", seed=row["seed"]
        )
        do_draw(book.competition, asked, book.author, uuid=uuid)
    begin = begins_at(row, book.demo.now, book.demo.zone)
    for place, one in enumerate(row["matches"]):
        at = begin + datetime.timedelta(minutes=APART * (place // 2))
        when = {"days_ago": row["days_ago"], "at": at.time().isoformat("minutes")}
        book.write_totals(book.match(one["players"]), one, when)
    if uuid := book.open("publish"):
        do_publish(book.competition, book.author, uuid=uuid)
    if uuid := book.open("close"):
        do_close(book.competition, book.author, uuid=uuid)


# --- handicaps -----------------------------------------------------------------


def _set_distances(demo: DemoClub, row: Mapping[str, Any]) -> None:
    today = demo.now.astimezone(demo.zone).date()
    known = set(HandicapDistance.objects.values_list("uuid", flat=True))
    for one in row["distances"]:
        uuid = named("distance", f"{one['player']}:{one['days_ago']}")
        if uuid not in known:
            do_set_distance(
                demo.club,
                demo.players[one["player"]],
                row["discipline"],
                one["distance"],
                since=today - datetime.timedelta(days=one["days_ago"]),
                user=demo.users["organiser"],
                why=one.get("why", ""),
                uuid=uuid,
            )


def _propose_distances(demo: DemoClub, row: Mapping[str, Any]) -> None:
    """Let the rule propose once: what a secretary answered since stays answered."""
    if not HandicapProposal.objects.filter(club=demo.club).exists():
        told = row["proposals"]
        asked = Request(
            row["discipline"],
            METHODS[told["method"]],
            row["discipline"],
            least_innings=told["least_innings"],
        )
        do_propose(demo.club, asked, demo.now.astimezone(demo.zone).date())
