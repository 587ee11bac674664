"""Coaches and pupils: asking, agreeing, withdrawing, a pupil's practice, and setting what to try."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from scoring.access import Actor, Forbidden
from scoring.coaching import do_agree, do_ask, do_set, do_withdraw
from scoring.models import Attempt, Coaching, Player, PracticeSession
from scoring.positions import name_of
from scoring.practice_rights import (
    access_coaching,
    coachings_that_hold,
    is_coach,
    visible_assignments,
    visible_coachings,
    visible_positions,
)
from scoring.rules.match.checks import Refused

from .fields import DayField, PlainForm, number
from .gate import page
from .practice import A_PAGE, names_of, plan_words, shown_session
from .practice_results import by_position
from .words import speak

# The attempts at the head of a pupil's page: the latest so many.
LATEST = 2000


@require_POST
@page
def coaching_ask(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Ask a player to be let in as a coach."""
    if not is_coach(actor):
        raise Forbidden
    named = request.POST.get("player", "")
    players = Player.objects.named().filter(merged_into__isnull=True, name__isnull=False)
    player = get_object_or_404(players, pk=int(named) if named.isascii() and named.isdigit() else 0)
    _try(
        request,
        lambda: do_ask(actor.user, player),
        gettext("Asked. The player agrees on their practice page."),
    )
    return redirect("practice")


@require_POST
@page
def coaching_act(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Agree to a coach, or withdraw."""
    coaching = get_object_or_404(visible_coachings(actor), pk=pk)
    if request.POST.get("act") == "agree":
        access_coaching(actor, coaching, "agree")
        _try(request, lambda: do_agree(pk), gettext("Agreed. The coach sees your practice from now on."))
    elif request.POST.get("act") == "withdraw":
        access_coaching(actor, coaching, "withdraw")
        _try(request, lambda: do_withdraw(pk), gettext("Withdrawn. The coach sees nothing of it any more."))
    return redirect("practice")


def _try(request: HttpRequest, change: Any, done: str) -> None:
    try:
        change()
    except Refused as refusal:
        messages.error(request, speak(refusal.reason))
    else:
        messages.success(request, done)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def pupil(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a pupil's practice to the coach, and set what to try."""
    coaching = get_object_or_404(coachings_that_hold(actor).select_related("player__name"), player=pk)
    form = TaskForm(request.POST or None, actor=actor)
    if request.method == "POST" and form.is_valid() and _set(request, coaching, form):
        return redirect("practice-player", pk=pk)
    sessions = PracticeSession.objects.filter(player__in=_same(coaching.player)).select_related("table")
    attempts = Attempt.objects.filter(session__in=sessions, struck_out_at__isnull=True)
    latest = list(attempts.select_related("position").order_by("-entry_id")[:LATEST])
    found = Paginator(sessions.order_by("-pk"), A_PAGE).get_page(request.GET.get("page"))
    tasks = list(visible_assignments(actor).filter(coaching=coaching).prefetch_related("sessions")[:A_PAGE])
    names = names_of({step["position"] for task in tasks for step in task.positions})
    context = {
        "coaching": coaching,
        "pupil": coaching.player,
        "form": form,
        "found": found,
        "sessions": [shown_session(one) for one in found],
        "rows": by_position(latest),
        "all_told": len(latest) < LATEST,
        "tasks": [
            {
                "task": task,
                "positions": plan_words(task.positions, names),
                "sessions": list(task.sessions.all()),
            }
            for task in tasks
        ],
    }
    return render(request, "scoring/practice/pupil.html", context)


def _same(player: Player) -> list[int]:
    """Return the ids of a player and of those merged into it."""
    return [player.pk, *Player.objects.filter(merged_into=player).values_list("pk", flat=True)]


def _set(request: HttpRequest, coaching: Coaching, form: TaskForm) -> bool:
    chosen = form.cleaned_data
    try:
        do_set(
            coaching.pk,
            name=chosen["name"],
            note=chosen["note"],
            positions=[
                {"position": int(one), "repetitions": chosen["repetitions"], "goal": None}
                for one in chosen["positions"]
            ],
            goal=form.goal(),
            due_on=chosen["due_on"],
        )
    except Refused as refusal:
        messages.error(request, speak(refusal.reason))
        return False
    messages.success(request, gettext("Set. It stands on the pupil's practice page."))
    return True


class TaskForm(PlainForm):
    """What a coach sets a pupil."""

    name = forms.CharField(label=_("Name"), max_length=80)
    positions = forms.MultipleChoiceField(label=_("Positions"), widget=forms.CheckboxSelectMultiple)
    repetitions = number(_("Each of them"), 1000, least=1, required=True, initial=10)
    made = number(_("Goal over all"), 100_000, least=1)
    due_on = DayField(label=_("Until"), required=False)
    note = forms.CharField(label=_("Note"), max_length=500, required=False)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["positions"].choices = [(str(one.pk), name_of(one)) for one in visible_positions(actor)]

    def clean(self) -> dict[str, Any]:
        """Check that the goal can be reached."""
        chosen = super().clean() or {}
        most = len(chosen.get("positions") or ()) * (chosen.get("repetitions") or 0)
        if most and (chosen.get("made") or 0) > most:
            self.add_error("made", _("No more points than attempts."))
        return chosen

    def goal(self) -> dict[str, int] | None:
        """Return {attempts, made}; None where nothing is aimed at."""
        chosen = self.cleaned_data
        if not chosen.get("made"):
            return None
        return {"attempts": len(chosen["positions"]) * chosen["repetitions"], "made": chosen["made"]}
