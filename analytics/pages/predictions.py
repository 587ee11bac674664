"""Predictions: how far the recorded strokes are predicted; an organiser stops it and lets it go on."""

from __future__ import annotations

from typing import Any

from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.formats import number_format
from django.utils.translation import gettext, ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from analytics.models import Prediction
from analytics.prediction_run import Progress, desk, do_go_on, do_stop, progress_of, strokes_wait
from scoring.access import Actor
from scoring.pages.gate import page


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def predictions(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show how far it is; `act` of a form: stop, or go."""
    if request.method == "POST":
        act = {"stop": do_stop, "go": do_go_on}.get(request.POST.get("act", ""))
        if act is not None:
            act()
        return redirect("predictions")
    progress = progress_of(desk())
    waits = progress.running or strokes_wait()
    context = {
        "progress": progress,
        "state": state_of(progress, waits),
        "finding": finding(progress, waits),
        "more": more(progress, waits),
        "act": act_of(progress, waits),
        "kept": kept_by_kind(),
    }
    return render(request, "analytics/predictions.html", context)


def state_of(progress: Progress, waits: bool) -> str:
    """Return one word of code for where it stands."""
    if progress.running:
        return "stopping" if progress.stopped else "running"
    if not waits:
        return "done"
    if progress.stopped:
        return "stopped"
    return "waiting" if progress.worker_here else "alone"


def finding(progress: Progress, waits: bool) -> str:
    """Return the sentence that leads the page."""
    done = _count(progress)
    return {
        "running": gettext("Predicting: %(done)s.") % {"done": done},
        "stopping": gettext("Stopping after the stroke at hand: %(done)s.") % {"done": done},
        "stopped": gettext("Stopped: %(done)s.") % {"done": done}
        if progress.total
        else gettext("Stopped before it began."),
        "waiting": gettext("Strokes wait. A worker begins in a moment."),
        "alone": gettext("Strokes wait, and no worker is here to predict them."),
        "done": gettext("Nothing waits: every recorded stroke with a layout was looked at."),
    }[state_of(progress, waits)]


def more(progress: Progress, waits: bool) -> list[str]:
    """Return what else is to be said, a sentence each."""
    told = []
    if progress.running and progress.seconds_left is not None and progress.done < progress.total:
        told.append(_left(progress.seconds_left))
    if progress.left_out:
        told.append(
            ngettext(
                "%(number)s stroke was left out: the balls cannot lie as they were told, or no line was found.",
                "%(number)s strokes were left out: the balls cannot lie as they were told, or no line was found.",
                progress.left_out,
            )
            % {"number": number_format(progress.left_out, force_grouping=True)}
        )
    if progress.stopped and not waits:
        told.append(gettext("It is stopped: strokes to come will wait until it goes on."))
    if state_of(progress, waits) == "alone":
        told.append(
            gettext("Start one with manage.py worker, or predict here and now with manage.py predict.")
        )
    return told


def act_of(progress: Progress, waits: bool) -> tuple[str, str] | None:
    """Return what may be done now and its word; None where there is nothing to do."""
    state = state_of(progress, waits)
    if state in ("running", "waiting", "alone"):
        return "stop", gettext("Stop")
    if progress.stopped:
        return "go", gettext("Go on") if progress.done else gettext("Start")
    return None


def kept_by_kind() -> list[dict[str, Any]]:
    """Return a row a kind: its name, how many are kept of declared and of best lines."""
    rows = Prediction.objects.values_list("kind", "source").annotate(number=Count("pk")).order_by()
    counted = {(kind, source): number for kind, source, number in rows}
    return [
        {
            "word": kind.label,
            "declared": counted.get((kind, "declared"), 0),
            "best": counted.get((kind, "best"), 0),
        }
        for kind in Prediction.Kind
    ]


def _count(progress: Progress) -> str:
    return gettext("%(done)s of %(total)s strokes") % {
        "done": number_format(progress.done, force_grouping=True),
        "total": number_format(progress.total, force_grouping=True),
    }


def _left(seconds: float) -> str:
    minutes = round(seconds / 60)
    if minutes < 1:
        return gettext("Less than a minute left.")
    if minutes < 90:
        return ngettext("About %(number)s minute left.", "About %(number)s minutes left.", minutes) % {
            "number": minutes
        }
    hours = round(minutes / 60)
    return ngettext("About %(number)s hour left.", "About %(number)s hours left.", hours) % {"number": hours}
