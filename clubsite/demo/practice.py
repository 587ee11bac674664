"""Reads fixtures/demo-practice.json: sessions of practice, a coach, and what the coach set."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from django.conf import settings

from clubsite.demo.club import DemoClub
from clubsite.demo.fixture import begins_at, named
from clubsite.demo.replay import NotAccepted
from scoring.coaching import do_agree, do_ask, do_set
from scoring.ledger import Author
from scoring.models import Assignment, Coaching, Match, PracticePosition, PracticeSession
from scoring.practising import Writer, append_attempts, do_begin_session, do_change_session

PATH = Path(settings.BASE_DIR) / "fixtures" / "demo-practice.json"
STRIKE = ("direction", "speed", "side", "height")
PACE = datetime.timedelta(seconds=40)


def read() -> dict[str, Any]:
    """Return the practice as the file has it."""
    told: dict[str, Any] = json.loads(PATH.read_text(encoding="utf-8"))
    return told


def joined(fixture: Mapping[str, Any], practice: Mapping[str, Any]) -> dict[str, Any]:
    """Return the demo club with the coach among those who sign in."""
    return dict(fixture) | {"users": [*fixture["users"], practice["coach"]]}


def do_practise(demo: DemoClub, practice: Mapping[str, Any]) -> int:
    """Write what is missing of the sessions, the coach's pupils and what was set; return the attempts stored now."""
    positions = {str(one.code): one for one in PracticePosition.objects.filter(shipped=True)}
    stored = 0
    for row in practice["sessions"]:
        session = _session(demo, row)
        if session.seq == 0:
            stored += _try(demo, session, row, positions)
    coach = demo.users[practice["coach"]["name"]]
    for code in practice["pupils"]:
        uuid = named("coaching", code)
        coaching = Coaching.objects.filter(uuid=uuid).first()
        if coaching is None:
            coaching = do_agree(do_ask(coach, demo.players[code], uuid).pk)
        if code == practice["assignment"]["pupil"]:
            _set(demo, coaching, practice["assignment"], positions)
    return stored


def _session(demo: DemoClub, row: Mapping[str, Any]) -> PracticeSession:
    uuid = named("session", f"{row['player']}:{row['days_ago']}")
    known = PracticeSession.objects.filter(uuid=uuid).first()
    return known or do_begin_session(
        club=demo.club,
        player=demo.players[row["player"]],
        discipline="three-cushion",
        name=row["name"],
        table=demo.tables[1],
        started_at=begins_at(row, demo.now, demo.zone),
        created_by=demo.players[row["player"]].user,
        uuid=uuid,
    )


def _try(
    demo: DemoClub,
    session: PracticeSession,
    row: Mapping[str, Any],
    positions: Mapping[str, PracticePosition],
) -> int:
    writer = Writer(
        Author(user_id=session.created_by_id),
        PracticePosition.objects.filter(shipped=True),
        Match.objects.none(),
    )
    sent = list(_sent(session, row, positions))
    for outcome in append_attempts(session.pk, sent, writer):
        if outcome.error is not None:
            raise NotAccepted(f"{session}: {outcome.reason}")
    do_change_session(session.pk, ended=True)
    PracticeSession.objects.filter(pk=session.pk).update(ended_at=session.started_at + PACE * (len(sent) + 1))
    return len(sent)


def _sent(
    session: PracticeSession, row: Mapping[str, Any], positions: Mapping[str, PracticePosition]
) -> Iterator[dict[str, Any]]:
    number = 0
    for tried in row["tried"]:
        position = positions[tried["position"]]
        for sign in tried["made"]:
            number += 1
            moment = session.started_at + PACE * number
            yield {
                "uuid": str(named("attempt", f"{row['player']}:{row['days_ago']}:{number}")),
                "position": position.pk,
                "layout": position.layout,
                "cue_ball": position.cue_ball,
                "line": dict(zip(STRIKE, tried["line"], strict=True)),
                "family": tried["family"],
                "outcome": "made" if sign == "+" else "missed",
                "device_time": moment.isoformat(timespec="seconds"),
                "offline": True,
            }


def _set(
    demo: DemoClub, coaching: Coaching, row: Mapping[str, Any], positions: Mapping[str, PracticePosition]
) -> None:
    uuid = named("assignment", row["name"])
    if coaching.holds and not Assignment.objects.filter(uuid=uuid).exists():
        plan = [one | {"position": positions[one["position"]].pk} for one in row["positions"]]
        due = demo.now.astimezone(demo.zone).date() + datetime.timedelta(days=row["due_in_days"])
        do_set(coaching.pk, name=row["name"], positions=plan, due_on=due, uuid=uuid)
