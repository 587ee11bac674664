"""Practice: one's own sessions, a new one, what a coach set, who looks on; a coach's pupils."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from scoring.access import Actor
from scoring.models import Assignment, Club, Coaching, Player, PlayTable, PracticePosition, PracticeSession
from scoring.positions import name_of
from scoring.practice_rights import (
    is_coach,
    visible_assignments,
    visible_coachings,
    visible_positions,
)
from scoring.practising import do_begin_session
from scoring.regulations import disciplines_of

from .fields import PlainForm, number
from .gate import page
from .practice_table import game_name, stroke_of

A_PAGE = 20


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def practice(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show one's practice, and begin a session."""
    player = Player.objects.named().filter(user=actor.user).first()
    asked = stroke_of(request.GET, actor)
    form = None
    if player is not None:
        form = SessionForm(request.POST or None, actor=actor, initial=_asked(request, actor, asked))
        if request.method == "POST":
            begun = _begin(request, actor, player, form)
            if begun is not None:
                return redirect(_table_of(request, begun, asked))
    own = PracticeSession.objects.filter(player__in=actor.own_players).select_related("table")
    context = {
        "player": player,
        "form": form,
        "asked": asked,
        "found": (found := Paginator(own.order_by("-pk"), A_PAGE).get_page(request.GET.get("page"))),
        "sessions": [shown_session(one) for one in found],
        "tasks": tasks_of(actor),
        "coaches": [_coach(one) for one in _coachings(actor) if one.player_id in actor.own_players],
        **_pupils(actor),
    }
    return render(request, "scoring/practice/practice.html", context)


def _asked(request: HttpRequest, actor: Actor, stroke: dict[str, Any] | None) -> dict[str, Any]:
    """Return what the form begins with: a position of the address, and its discipline or the stroke's."""
    if stroke is not None:
        return {"discipline": stroke["discipline"]}
    wanted = request.GET.get("position", "")
    if not (wanted.isascii() and wanted.isdigit() and len(wanted) < 19):
        return {}
    found = visible_positions(actor).filter(pk=int(wanted)).first()
    return {"positions": [str(found.pk)], "discipline": found.discipline_code} if found else {}


def _begin(request: HttpRequest, actor: Actor, player: Player, form: SessionForm) -> PracticeSession | None:
    """Begin what the form asks, or what a coach set (`assignment`)."""
    club = Club.objects.the_first()
    task = request.POST.get("assignment", "")
    if task.isascii() and task.isdigit():
        mine = visible_assignments(actor).filter(coaching__player__in=actor.own_players)
        assignment = get_object_or_404(mine, pk=int(task))
        return do_begin_session(
            club=club,
            player=player,
            discipline=_discipline_of(assignment),
            name=assignment.name,
            note=assignment.note,
            goal=assignment.goal,
            positions=assignment.positions,
            assignment=assignment,
            created_by=actor.user,
        )
    if not form.is_valid():
        return None
    chosen = form.cleaned_data
    return do_begin_session(
        club=club,
        player=player,
        discipline=chosen["discipline"],
        name=chosen["name"],
        table=chosen["table"],
        goal=form.goal(),
        positions=form.plan(),
        created_by=actor.user,
    )


def _discipline_of(assignment: Assignment) -> str:
    """Return the discipline of the first position that was set."""
    first = assignment.positions[0]["position"] if assignment.positions else None
    found = PracticePosition.objects.filter(pk=first).first()
    return found.discipline_code if found else "three-cushion"


def _table_of(request: HttpRequest, session: PracticeSession, asked: dict[str, Any] | None) -> str:
    address = reverse("practice-session", args=[session.pk])
    return f"{address}?match={asked['from_match']}&place={asked['from_place']}" if asked else address


def shown_session(session: PracticeSession) -> dict[str, Any]:
    """Return a session as a list shows it."""
    return {
        "id": session.pk,
        "name": session.name or gettext("Practice"),
        "game": game_name(session),
        "table": session.table.name if session.table else "",
        "started_at": session.started_at,
        "under_way": session.ended_at is None,
        "tried": session.tried,
        "made": session.made,
    }


def tasks_of(actor: Actor) -> list[dict[str, Any]]:
    """Return what coaches set the reader, newest first, with what was begun of it."""
    if not actor.own_players:
        return []
    found = visible_assignments(actor).filter(
        coaching__player__in=actor.own_players, coaching__withdrawn_at__isnull=True
    )
    rows = list(found.select_related("coaching__coach__player__name").prefetch_related("sessions")[:20])
    names = names_of({step["position"] for row in rows for step in row.positions})
    return [
        {
            "id": row.pk,
            "name": row.name,
            "note": row.note,
            "coach": coach_name(row.coaching),
            "due_on": row.due_on,
            "goal": row.goal,
            "positions": plan_words(row.positions, names),
            "sessions": list(row.sessions.all()),
        }
        for row in rows
    ]


def names_of(ids: set[int]) -> dict[int, str]:
    """Return the names of positions by their ids."""
    return {one.pk: name_of(one) for one in PracticePosition.objects.filter(pk__in=ids)}


def plan_words(plan: list[dict[str, Any]], names: dict[int, str]) -> str:
    """Return a plan in a line: "Around the table, short, 10 times; Ticky, 5 times"."""
    words = []
    for step in plan:
        name = names.get(step["position"], "")
        times = step.get("repetitions")
        words.append(gettext("%(name)s, %(times)s times") % {"name": name, "times": times} if times else name)
    return "; ".join(words)


def coach_name(coaching: Coaching) -> str:
    """Return the name of a coach: as a player where they are one."""
    player = getattr(coaching.coach, "player", None)
    return player.full_name if player else coaching.coach.get_username()


def _coachings(actor: Actor) -> list[Coaching]:
    found = visible_coachings(actor).filter(withdrawn_at__isnull=True)
    return list(found.select_related("coach__player__name", "player__name"))


def _coach(coaching: Coaching) -> dict[str, Any]:
    return {"id": coaching.pk, "name": coach_name(coaching), "agreed_at": coaching.agreed_at}


def _pupils(actor: Actor) -> dict[str, Any]:
    """Return what a coach sees: pupils who agreed, who was asked, whom to ask."""
    if not is_coach(actor):
        return {"coach": False}
    mine = [one for one in _coachings(actor) if one.coach_id == actor.user.pk]
    asked = {one.player_id for one in mine} | set(actor.own_players)
    open_ones = Player.objects.filter(merged_into__isnull=True, name__isnull=False, user__isnull=False)
    return {
        "coach": True,
        "pupils": [one for one in mine if one.agreed_at is not None],
        "waiting": [one for one in mine if one.agreed_at is None],
        "to_ask": open_ones.exclude(pk__in=asked).named().order_by("name__family", "name__given", "pk"),
    }


class SessionForm(PlainForm):
    """A session to begin."""

    discipline = forms.ChoiceField(label=_("Discipline"))
    table = forms.ModelChoiceField(PlayTable.objects.none(), label=_("Table"), required=False)
    name = forms.CharField(label=_("Name"), max_length=80, required=False, help_text=_("May be left empty."))
    attempts = number(_("Out of"), 10_000, least=1)
    made = number(_("Goal"), 10_000, least=1)
    positions = forms.MultipleChoiceField(
        label=_("Positions, in this order"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    repetitions = number(_("Each of them"), 1000, least=1)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        games = disciplines_of(Club.objects.the_first())
        self.fields["discipline"].choices = [(code, gettext(one.name)) for code, one in games.items()]
        self.fields["discipline"].initial = "three-cushion"
        tables = self.fields["table"]
        tables.queryset = PlayTable.objects.order_by("number", "name", "pk")
        tables.empty_label = _("not said")
        self.usable = list(visible_positions(actor))
        self.fields["positions"].choices = [(str(one.pk), name_of(one)) for one in self.usable]

    def clean(self) -> dict[str, Any]:
        """Check that a goal can be reached."""
        chosen = super().clean() or {}
        attempts, made = chosen.get("attempts"), chosen.get("made")
        if made and not attempts and "attempts" not in self.errors:
            self.add_error("attempts", _("Of how many attempts? A goal says both."))
        if made and attempts and made > attempts:
            self.add_error("made", _("No more points than attempts."))
        return chosen

    def goal(self) -> dict[str, int] | None:
        """Return {attempts, made}; None where nothing is aimed at."""
        chosen = self.cleaned_data
        if not chosen.get("attempts"):
            return None
        return {"attempts": chosen["attempts"], "made": chosen.get("made") or 0}

    def plan(self) -> list[dict[str, Any]]:
        """Return the positions to try, each {position, repetitions, goal}."""
        times = self.cleaned_data.get("repetitions")
        return [
            {"position": int(one), "repetitions": times, "goal": None}
            for one in self.cleaned_data["positions"]
        ]
