"""Calibration: whether the aim calculator deserves belief, of one player, of a table, of the club.

Matches and practice are told apart and never pooled. Practice is the player's own: it is read for
the player and for coaches to whom the player agreed, and goes into no figure of a table or the club.
"""

from __future__ import annotations

import datetime
import hashlib
from collections import OrderedDict
from collections.abc import Collection
from dataclasses import astuple, dataclass
from typing import Any

import numpy as np
from django.utils import timezone
from django.utils.translation import gettext

from analytics.models import Prediction
from analytics.played.asked import Asked, midnight
from analytics.played.club import disciplines_promised, read_promised
from analytics.played.reading import ids_of
from analytics.report import DEFAULT_DISCIPLINE, Report
from analytics.reports.belief import Belief, Promised, beliefs
from analytics.reports.played import SOURCES, TOLD
from analytics.reports.selecting import Aside
from analytics.reports.trying import read_strokes
from scoring.access import Actor
from scoring.models import Attempt, Club, Player
from scoring.practice_rights import coaches_player
from scoring.regulations import disciplines_of
from scoring.rules.disciplines import DISCIPLINES

# Drawing what chance gives takes a moment: so many answers are remembered.
REMEMBERED = 32
_answers: OrderedDict[str, list[Belief]] = OrderedDict()


@dataclass(frozen=True)
class Calibration:
    """What came of promises: in matches, and in practice where it may be told.

    practice : None where it is not for the reader, or not what the filter asks for. players : with
    a promised stroke in a match. aside, practice_aside : promises that are not compared.
    """

    asked: Asked
    discipline_name: str
    matches: list[Belief]
    practice: list[Belief] | None
    players: int
    aside: Aside
    practice_aside: Aside
    computed_at: datetime.datetime

    @property
    def strokes(self) -> int:
        """Promised strokes of matches, however they were promised."""
        return sum(one.strokes for one in self.matches)


def of_player(report: Report, actor: Actor) -> Calibration:
    """Return the calibration of a player's promises, from the report of what is asked."""
    strokes = read_strokes(report.played)
    told = strokes.told > 0
    promised = Promised(
        strokes.promised[told],
        strokes.made[told],
        strokes.told[told],
        strokes.source[told],
        np.zeros(int(told.sum()), dtype=np.int64),
    )
    practice, of_practice = None, Aside()
    if practice_open(actor, report.player) and practice_asked(report.asked):
        attempts, of_practice = read_practice(ids_of(report.player), report.asked)
        practice = _remembered(attempts)
    return Calibration(
        report.asked,
        report.discipline_name,
        _remembered(promised),
        practice,
        1,
        strokes.aside,
        of_practice,
        report.computed_at,
    )


def of_club(asked: Asked, club: Club | None = None) -> tuple[Calibration, list[str]]:
    """Return the calibration of everybody's promises, and the disciplines that have any.

    `asked.table` makes it that of a table. Without a discipline, of the one with most predictions.
    """
    club = club or Club.objects.the_first()
    codes = disciplines_promised(asked, club)
    code = asked.discipline or next(iter(codes), DEFAULT_DISCIPLINE)
    asked = asked.of(code)
    promised, aside = read_promised(asked, club)
    game = DISCIPLINES.get(code) or disciplines_of(club).get(code)
    found = Calibration(
        asked,
        code if game is None else gettext(game.name),
        _remembered(promised),
        None,
        int(np.unique(promised.players).size),
        aside,
        Aside(),
        timezone.now(),
    )
    return found, codes


def practice_open(actor: Actor, player: Player) -> bool:
    """Whether `actor` may know of a player's practice: the player, and a coach who was agreed to."""
    return player.pk in actor.own_players or coaches_player(actor, player)


def practice_asked(asked: Asked) -> bool:
    """Whether a filter leaves practice in: it has no competition and no opponent."""
    return asked.competition is None and asked.opponent is None


def read_practice(players: Collection[int], asked: Asked) -> tuple[Promised, Aside]:
    """Return the attempts with a promise that stand, of a player, whose ids are given. Two queries.

    Of every attempt it is known where the balls lay: nobody chose which to describe.
    """
    attempts = Attempt.objects.filter(session__player__in=players, struck_out_at__isnull=True)
    if asked.discipline is not None:
        attempts = attempts.filter(session__discipline_code=asked.discipline)
    if asked.table is not None:
        attempts = attempts.filter(session__table=asked.table)
    club = Club.objects.the_first()
    if asked.since is not None:
        attempts = attempts.filter(dated_at__gte=midnight(asked.since, club))
    if asked.until is not None:
        attempts = attempts.filter(dated_at__lt=midnight(asked.until + datetime.timedelta(days=1), club))
    outcomes = dict(attempts.values_list("uuid", "outcome"))
    rows = Prediction.objects.filter(attempt_uuid__in=attempts.values("uuid")).values_list(
        "attempt_uuid", "kind", "source", "success", "model"
    )
    first: dict[Any, tuple[int, int, float, int]] = {}
    for uuid, kind, source, success, model in rows:
        mine = (TOLD.index(kind), SOURCES.index(source), success, model)
        first[uuid] = min(mine, first.get(uuid, mine))
    newest = max((one[3] for one in first.values()), default=0)
    standing = {uuid: one for uuid, one in first.items() if uuid in outcomes}
    found = [
        (*one[:3], outcomes[uuid] == Attempt.Outcome.MADE)
        for uuid, one in standing.items()
        if one[3] == newest
    ]
    told, source, success, made = zip(*found, strict=True) if found else ((), (), (), ())
    promised = Promised(
        np.array(success, dtype=np.float64),
        np.array(made, dtype=bool),
        np.array(told, dtype=np.uint8),
        np.array(source, dtype=np.uint8),
        np.zeros(len(found), dtype=np.int64),
    )
    return promised, Aside(older=len(standing) - len(found))


def _remembered(strokes: Promised) -> list[Belief]:
    """Return the beliefs of strokes, or remember them: they depend on nothing else."""
    key = hashlib.sha256(b"".join(part.tobytes() for part in astuple(strokes))).hexdigest()
    found = _answers.get(key)
    if found is None:
        found = _answers[key] = beliefs(strokes)
        while len(_answers) > REMEMBERED:
            _answers.popitem(last=False)
    return found
