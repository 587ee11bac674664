"""A coach's overview: every pupil who agreed, lately and before, at practice, what is next and what was set."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from analytics.coach import Coached, Pupil, read_coached
from scoring.access import Actor
from scoring.models import Club, PracticePosition
from scoring.pages.gate import page
from scoring.pages.practice import plan_words
from scoring.positions import name_of
from scoring.practice_rights import ids_of_plans

from .coach_sections import goal_words, pupil_findings, sections_of
from .report_filter import Names, asked_of, choices
from .reporting import answer


@require_safe
@never_cache
@page
def coach(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the pupils who agreed; whoever withdrew is gone at once."""
    club = Club.objects.the_first()
    asked, wrong = asked_of(request, club)
    found = read_coached(actor, asked, club)
    plans = _plans(found)
    context = {
        "found": found,
        "asked": found.asked,
        "given": {name: request.GET.get(name, "") for name in ("since", "until")},
        "wrong": wrong,
        "choices": choices(frozenset(), found.asked, Names({}, {}, {}), club, found.disciplines),
        "pupils": [_shown(one, found, plans) for one in found.pupils],
    }
    return answer(request, "analytics/coach.html", context, sections_of(found))


def _shown(pupil: Pupil, found: Coached, plans: dict[int, str]) -> dict[str, Any]:
    return {
        "player": pupil.player,
        "agreed_at": pupil.coaching.agreed_at,
        "findings": list(pupil_findings(pupil, found.game)),
        "sessions": pupil.practised.latest,
        "tasks": [
            {
                "name": one.task.name,
                "set_at": one.task.set_at,
                "due_on": one.task.due_on,
                "positions": plans[one.task.pk],
                "goal": goal_words(one),
                "sessions": one.sessions,
            }
            for one in pupil.tasks
        ],
    }


def _plans(found: Coached) -> dict[int, str]:
    """Return what was set, in words, by task; one query."""
    tasks = [one.task for pupil in found.pupils for one in pupil.tasks]
    named = PracticePosition.objects.filter(pk__in=ids_of_plans([task.positions for task in tasks]))
    names = {one.pk: name_of(one) for one in named}
    return {task.pk: plan_words(task.positions, names) for task in tasks}
