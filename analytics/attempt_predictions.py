"""Predictions of attempts at practice: made and kept as those of strokes are, beside the same cursor.

When an attempt's layout and line were told stands with the attempt (`scoring.practising`): blind
where they are those of a position that was there before, same time where they came with it.
"""

from __future__ import annotations

import datetime
import json
import uuid as uuids
from collections import OrderedDict
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from analytics.models import FollowedSession, Prediction
from analytics.predictions import FIRST_SHOWN, Tables, Telling, columns_of, parameters_before, predict_telling
from analytics.spreads import spread_of
from scoring.models import Attempt, PlayTable, PracticeSession
from scoring.rules.disciplines import Discipline
from scoring.rules.said import Malformed

if TYPE_CHECKING:
    from analytics.aim.predicting import Predicted
    from analytics.table.parameters import TableParameters

# Whoever practises repeats a position: so many answers are remembered.
REMEMBERED = 64
_answers: OrderedDict[str, Predicted | None] = OrderedDict()


@dataclass(frozen=True)
class AskedAttempt:
    """An attempt that wants its prediction."""

    session: PracticeSession
    uuid: uuids.UUID
    telling: Telling
    table: PlayTable | None
    dated_at: datetime.datetime


def sessions_behind() -> QuerySet[PracticeSession]:
    """Return the sessions that went on since they were looked at, the latest first."""
    return (
        PracticeSession.objects.annotate(followed=Coalesce("predictions_followed__seq", 0))
        .filter(seq__gt=F("followed"))
        .order_by("-started_at", "-pk")
    )


def asked_of_sessions(sessions: Iterable[PracticeSession]) -> list[AskedAttempt]:
    """Return what is still wanted of these sessions, in order; what is struck out is not."""
    by_id = {session.pk: session for session in sessions}
    if not by_id:
        return []
    attempts = list(
        Attempt.objects.filter(session__in=by_id, struck_out_at__isnull=True).order_by("session", "order")
    )
    kept = set(
        Prediction.objects.filter(
            attempt_uuid__in=Attempt.objects.filter(session__in=by_id).values("uuid")
        ).values_list("attempt_uuid", "kind")
    )
    tables = Tables()
    return [
        AskedAttempt(
            session=by_id[one.session_id],
            uuid=one.uuid,
            telling=Telling(one.told, one.order, one.layout, one.cue_ball, one.line),
            table=tables[by_id[one.session_id].table_id],
            dated_at=one.dated_at,
        )
        for one in attempts
        if (one.uuid, one.told) not in kept
    ]


def predicted_attempt(asked: AskedAttempt, threads: int | None = None) -> Prediction | None:
    """Return the prediction of an attempt, not stored yet; None where none can be made."""
    try:
        table = parameters_before(asked.table, asked.dated_at)
    except Malformed:
        return None
    spread = spread_of(asked.session.player_id, asked.dated_at)
    made = _answer(asked.telling, spread, table, asked.session.discipline, threads)
    if made is None:
        return None
    return Prediction(
        attempt_uuid=asked.uuid,
        discipline=asked.session.discipline_code,
        table=asked.table,
        **columns_of(asked.telling, made, table),
    )


def _answer(
    telling: Telling, spread: float, table: TableParameters, discipline: Any, threads: int | None
) -> Predicted | None:
    """Predict what was told, or remember it: the answer depends on nothing but the question."""
    from analytics.aim import predicting

    asked = [telling.layout, telling.cue_ball, telling.line, spread, asdict(table), discipline]
    key = json.dumps([*asked, predicting.MODEL, predicting.STROKES], sort_keys=True)
    if key not in _answers:
        game = Discipline.from_json(discipline)
        _answers[key] = predict_telling(telling, spread, table, game, threads)
        if len(_answers) > REMEMBERED:
            _answers.popitem(last=False)
    _answers.move_to_end(key)
    return _answers[key]


def do_note_session_followed(session: PracticeSession) -> None:
    """Note that a session was looked at, up to the seq with which `session` was read."""
    FollowedSession.objects.update_or_create(session=session, defaults={"seq": session.seq})


def shown_beside_attempts(attempts: Collection[uuids.UUID]) -> dict[uuids.UUID, dict[str, Any]]:
    """Return what is told of the predictions of attempts, by their uuid."""
    rows = Prediction.objects.filter(attempt_uuid__in=attempts).values(
        "attempt_uuid", "kind", "source", "success", "stderr"
    )
    found = sorted(rows, key=lambda row: FIRST_SHOWN[row["kind"]], reverse=True)
    return {row.pop("attempt_uuid"): row for row in found}
