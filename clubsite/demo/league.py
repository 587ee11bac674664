"""Writes the season of teams of the demo: teams and squads, encounters played, and what waits for captains."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clubsite.demo.book import Book
from clubsite.demo.fixture import named
from scoring.board_sheets import do_confirm_boards, do_dispute_board, do_hand_over
from scoring.encounters import do_enter_line_up, do_postpone, matches_of
from scoring.ledger import Author
from scoring.models import Encounter, Match, Team
from scoring.publishing import do_publish
from scoring.seasons import do_plan_season, do_set_rule
from scoring.teams import do_enter_team, do_register

Row = Mapping[str, Any]


def do_hold(book: Book) -> None:
    """Write what is missing of the season."""
    row = book.row
    if book.open("asked") is None:
        return
    book.begin()
    if uuid := book.open("rule"):
        do_set_rule(book.competition, row["rule"], book.author, uuid)
    teams = {one["name"]: _team(book, one) for one in row["teams"]}
    if uuid := book.open("plan"):
        days = [{"on": book.day(ahead).isoformat(), "due": None} for ahead in row["days"]]
        do_plan_season(
            book.competition,
            book.author,
            divisions=[[team.pk for team in teams.values()]],
            rounds=days,
            uuid=uuid,
        )
    for place, one in enumerate(row["played"]):
        _play(book, one, -row["days"][place // 2])
    for one in row["line_ups"]:
        _line_up(book, one, one["side"], one["players"])
    for name in ("postponed", "asked"):
        _postpone(book, row[name], name)
    if uuid := book.open("publish"):
        do_publish(book.competition, book.author, uuid=uuid)


def _team(book: Book, row: Row) -> Team:
    uuid = named("team", f"{book.code}:{row['name']}")
    captain = book.demo.players[row["captain"]]
    team = do_enter_team(
        book.competition, row["name"], book.author, club=book.demo.club, captain=captain, uuid=uuid
    )
    for one in row["squad"]:
        if step := book.open(f"squad:{one['player']}"):
            registered = {"points": one["points"], "innings": one["innings"], "since": book.day(-60)}
            do_register(team, book.demo.players[one["player"]], registered, book.author, step)
    return team


def _encounter(book: Book, row: Row) -> Encounter:
    rows = Encounter.objects.filter(home__competition=book.competition)
    return rows.select_related("home__competition__club", "away").get(
        home__name=row["home"], away__name=row["away"]
    )


def _name(row: Row, step: str) -> str:
    return f"{row['home']}:{row['away']}:{step}"


def _captain(book: Book, team: Team) -> Author:
    """Return the captain as an author, where the captain signs in; else the organiser writes."""
    user = None if team.captain is None else team.captain.user_id
    return book.author if user is None else Author(user_id=user)


def _line_up(book: Book, row: Row, side: str, players: list[str]) -> None:
    if uuid := book.open(_name(row, f"line-up:{side}")):
        encounter = _encounter(book, row)
        author = _captain(book, getattr(encounter, side))
        do_enter_line_up(encounter, side, book.players(players), author, uuid)


def _play(book: Book, row: Row, days_ago: int) -> None:
    """Enter both line-ups, write the boards of that evening, hand the sheet over and answer it."""
    for side, players in zip(("home", "away"), row["line_ups"], strict=True):
        _line_up(book, row, side, players)
    encounter = _encounter(book, row)
    when = {"days_ago": days_ago, "at": book.row["at"]}
    boards: dict[int, Match] = matches_of(encounter)
    for number, one in enumerate(row["boards"], 1):
        book.write_totals(boards[number], one, when, confirmed=False)
    if uuid := book.open(_name(row, "sheet")):
        do_hand_over(encounter, _captain(book, encounter.home), uuid)
    away = _captain(book, encounter.away)
    disputed = row.get("dispute")
    if disputed and (uuid := book.open(_name(row, "dispute"))):
        do_dispute_board(encounter, disputed["board"], disputed["why"], away, uuid)
    if uuid := book.open(_name(row, "confirm")):
        left = [number for number in boards if not disputed or number != disputed["board"]]
        do_confirm_boards(encounter, away, left, uuid)


def _postpone(book: Book, row: Row, step: str) -> None:
    """Move an encounter, or ask the other captain to; where a side asks, its captain does."""
    if uuid := book.open(step):
        do_postpone(
            _encounter(book, row),
            book.day(row["due"]),
            row["why"],
            book.author,
            on=book.day(row["on"]),
            side=row.get("side"),
            uuid=uuid,
        )
