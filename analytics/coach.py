"""A coach's pupils: how each plays lately, what each practises, what to practise next, and what was set."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Count, F, Q, Sum, Window
from django.db.models.functions import Coalesce, RowNumber
from django.utils import timezone

from analytics.club_figures import club_in, figures_of, others_in
from analytics.game import Game, game_of
from analytics.models import ClubFigures
from analytics.played.asked import Asked
from analytics.played.together import read_together
from analytics.practice_advice import find_items
from analytics.report import DEFAULT_DISCIPLINE
from analytics.reports.lately import Lately, read_lately
from analytics.reports.played import Played
from analytics.reports.practising import Advice, advise
from analytics.reports.trying import read_trying
from scoring.access import Actor
from scoring.models import Assignment, Club, Coaching, Match, Player, PracticeSession
from scoring.practice_rights import coachings_that_hold, pupils

# Of each pupil so many sessions and tasks are shown, the latest.
SESSIONS, TASKS = 3, 3


@dataclass(frozen=True)
class Practised:
    """All that a pupil practised, of every discipline, and the latest sessions."""

    sessions: int = 0
    tried: int = 0
    made: int = 0
    latest: tuple[PracticeSession, ...] = ()


@dataclass(frozen=True)
class Task:
    """What was set, and the sessions begun from it; reached: None where it has no goal."""

    task: Assignment
    sessions: tuple[PracticeSession, ...]

    @property
    def reached(self) -> bool | None:
        """Whether any one session reached the goal."""
        wanted = (self.task.goal or {}).get("made")
        return any(one.made >= wanted for one in self.sessions) if wanted else None


@dataclass(frozen=True)
class Next:
    """What to practise next. recorded: strokes with a family; advice: None where they say too little."""

    recorded: int
    advice: Advice | None


@dataclass(frozen=True)
class Pupil:
    """A pupil who agreed. matches: confirmed ones with an inning, of what is asked; pending: they wait."""

    coaching: Coaching
    matches: int
    pending: int
    points: int
    innings: int
    lately: Lately
    next: Next
    practised: Practised
    tasks: tuple[Task, ...]

    @property
    def player(self) -> Player:
        return self.coaching.player


@dataclass(frozen=True)
class Coached:
    """Every pupil of a coach, by name, at a moment. disciplines: those they have matches of, the most first."""

    asked: Asked
    game: Game
    pupils: tuple[Pupil, ...]
    disciplines: list[str]
    computed_at: datetime.datetime


def read_coached(actor: Actor, asked: Asked, club: Club) -> Coached:
    """Return the pupils who agreed to `actor`, now; the number of queries is the same however many they are.

    Without a discipline, of the one that they played most.
    """
    coachings = list(coachings_that_hold(actor).select_related("player__name"))
    ids = dict(pupils(actor).values_list("pk", Coalesce("merged_into", "pk")))
    seen = _disciplines(ids)
    code = asked.discipline or next(iter(seen), DEFAULT_DISCIPLINE)
    together = read_together(asked.of(code), club, ids)
    played = together.by_player()
    figures, practised, tasks = figures_of(code), _practised(ids), _tasks(coachings)
    nothing = together.nothing
    found = [
        _pupil(
            one,
            played.get(ids[one.player_id], nothing),
            figures,
            practised.get(ids[one.player_id], Practised()),
            tuple(tasks.get(one.pk, ())),
        )
        for one in coachings
    ]
    found.sort(key=lambda one: (one.player.full_name, one.player.pk))
    return Coached(asked.of(code), game_of(code, club), tuple(found), seen, timezone.now())


def _pupil(
    coaching: Coaching,
    played: Played,
    figures: ClubFigures | None,
    practised: Practised,
    tasks: tuple[Task, ...],
) -> Pupil:
    sheets = played.sheets()
    waiting = played.matches["finished"] & ~played.matches["confirmed"] & played.matches["counted"]
    return Pupil(
        coaching=coaching,
        matches=sum(sheet.innings > 0 for sheet in sheets),
        pending=int(waiting.sum()),
        points=sum(sheet.points for sheet in sheets),
        innings=sum(sheet.innings for sheet in sheets),
        lately=read_lately(sheets),
        next=_next(coaching.player_id, played, figures),
        practised=practised,
        tasks=tasks,
    )


def _next(player: int, played: Played, figures: ClubFigures | None) -> Next:
    trying = read_trying(played, club_in(figures))
    items = list(find_items(played, trying, others_in(figures, {player})).items.values())
    recorded = sum(row.attempts for row in trying.families.rows)
    return Next(recorded, advise(items) if items else None)


def _disciplines(ids: Collection[int]) -> list[str]:
    """Return the disciplines that the pupils have matches of; one query."""
    seen: Counter[str] = Counter()
    rows = Match.objects.filter(Q(entrant_a__in=ids) | Q(entrant_b__in=ids)).order_by()
    for code, many in rows.values_list("discipline_code").annotate(many=Count("pk")):
        seen[code] += many
    return [code for code, _many in seen.most_common()]


def _practised(ids: dict[int, int]) -> dict[int, Practised]:
    """Return what was practised, by pupil; two queries."""
    sums: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    sessions = PracticeSession.objects.filter(player__in=ids)
    rows = sessions.order_by().values_list("player").annotate(Count("pk"), Sum("tried"), Sum("made"))
    for player, *counts in rows:
        sums[ids[player]] = [so_far + more for so_far, more in zip(sums[ids[player]], counts, strict=True)]
    place = Window(
        RowNumber(), partition_by=Coalesce("player__merged_into", "player"), order_by=F("pk").desc()
    )
    latest: dict[int, list[PracticeSession]] = defaultdict(list)
    for one in sessions.annotate(place=place).filter(place__lte=SESSIONS).order_by("-pk"):
        latest[ids[one.player_id]].append(one)
    return {pk: Practised(*counts, tuple(latest[pk])) for pk, counts in sums.items()}


def _tasks(coachings: Collection[Coaching]) -> dict[int, list[Task]]:
    """Return the latest that was set, by coaching; two queries."""
    place = Window(RowNumber(), partition_by=F("coaching"), order_by=F("pk").desc())
    rows = Assignment.objects.filter(coaching__in=coachings).annotate(place=place).filter(place__lte=TASKS)
    found: dict[int, list[Task]] = defaultdict(list)
    for task in rows.order_by("-pk").prefetch_related("sessions"):
        found[task.coaching_id].append(Task(task, tuple(task.sessions.all())))
    return found
