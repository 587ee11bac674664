"""Practice at the table: what its script needs, the same without a script, and what came of it."""

from __future__ import annotations

import json
import uuid as uuids
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_http_methods, require_POST

from scoring.access import Actor, visible_matches
from scoring.ledger import Author
from scoring.models import Attempt, PracticeSession, StrokeProjection
from scoring.positions import name_of
from scoring.practice_rights import access_session, visible_positions, visible_sessions
from scoring.practising import Writer, append_attempts, do_change_session
from scoring.rules.families import FAMILIES
from scoring.rules.said import Malformed

from .gate import page
from .practice_positions import CUE, SIZE, USUAL, board_fields, shelves, shown
from .practice_results import by_position, goal_words, outcome_words, share_words, standing
from .words import ball_name, family_name, speak

TEN = 10
# What the script reads of an attempt.
FIELDS = ("outcome", "how", "layout", "cue_ball")


def session_or_404(actor: Actor, pk: int) -> PracticeSession:
    """Return a session that `actor` may read."""
    rows = visible_sessions(actor).select_related("player__name", "table")
    return get_object_or_404(rows, pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@ensure_csrf_cookie
@page
def practice_session(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show a session: the keys while it goes on, what came of it afterwards; end it, or go on."""
    session = session_or_404(actor, pk)
    if request.method == "POST":
        access_session(actor, session, "write")
        ended = {"end": True, "go-on": False}.get(request.POST.get("act", ""))
        if ended is not None:
            do_change_session(session.pk, ended=ended)
        return redirect("practice-session", pk=pk)
    # A coach reads along; the keys are the player's.
    if session.ended_at is not None or session.player_id not in actor.own_players:
        return _show_result(request, actor, session)
    return _show_table(request, actor, session)


def heading(session: PracticeSession) -> str:
    """Return what a session is called."""
    return session.name or gettext("Practice")


def game_name(session: PracticeSession) -> str:
    """Return the discipline of a session, as it stands in a sentence."""
    return gettext(session.discipline.get("name") or session.discipline_code).lower()


# --- what came of it ---------------------------------------------------------


def _show_result(request: HttpRequest, actor: Actor, session: PracticeSession) -> HttpResponse:
    attempts = standing(session)
    own = session.player_id in actor.own_players
    context = {
        "session": session,
        "heading": heading(session),
        "game": game_name(session),
        "own": own,
        "rows": by_position(attempts),
        "tried": session.tried,
        "made": session.made,
        "words": share_words(session.made, session.tried),
        "goal_words": goal_words(session.goal, session.tried, session.made),
        "struck": session.attempts.filter(struck_out_at__isnull=False).count(),
        "back_url": reverse("practice") if own else reverse("practice-player", args=[session.player_id]),
    }
    return render(request, "scoring/practice/result.html", context)


# --- at the table ------------------------------------------------------------


def _show_table(request: HttpRequest, actor: Actor, session: PracticeSession) -> HttpResponse:
    attempts = list(session.attempts.select_related("position", "struck_by").order_by("order"))
    usable = [
        shown(one, actor) for one in visible_positions(actor).filter(discipline_code=session.discipline_code)
    ]
    planned = [step["position"] for step in session.positions]
    known = {one["id"]: one for one in usable}
    missing = [pk for pk in planned if pk not in known]
    known |= {one.pk: shown(one, actor) for one in visible_positions(actor).filter(pk__in=missing)}
    plan = [step for step in session.positions if step["position"] in known]
    last = [one for one in attempts if one.struck_out_at is None][-TEN:]
    current = _current(request, actor, known, plan, attempts)
    goal = session.goal or {}
    parts = [game_name(session), session.table.name if session.table else ""]
    context = {
        "session": session,
        "heading": heading(session),
        "meta": ", ".join(part for part in parts if part),
        "current": current | {"layout_json": json.dumps(current["layout"])},
        "tried": session.tried,
        "made": session.made,
        "of_words": gettext("of %(attempts)s") % goal
        if goal.get("attempts")
        else ngettext("attempt", "attempts", session.tried),
        "goal_words": goal_words(session.goal, session.tried, session.made),
        "last_ten": ", ".join(outcome_words(one) for one in last),
        "ten": [{"made": one.is_made, "x": 8 + 15 * at - 1.5 * one.is_made} for at, one in enumerate(last)],
        "taken_back": _taken_back(session, attempts),
        "fresh_uuid": uuids.uuid4(),
        "fresh_void": uuids.uuid4(),
        "hows": [(code, word) for code, word in Attempt.How.choices],
        "plan": [known[step["position"]] for step in plan],
        "library": shelves(one for one in known.values() if one["id"] not in planned),
        "practice_data": {
            "session_id": session.pk,
            "api_url": "/api/",
            "attempts": [flat_attempt(one) for one in attempts],
            "seq": session.seq,
            "known": [str(one) for one in session.entries.values_list("uuid", flat=True)],
            "discipline": session.discipline,
            "rule_set": session.rule_set,
            "families": families_of(session),
            "goal": session.goal,
            "plan": plan,
            "positions": list(known.values()),
            "current": current,
            "stay": True,
            "table": SIZE,
        },
        **board_fields(current["layout"]),
    }
    return render(request, "scoring/practice/table.html", context)


def _taken_back(session: PracticeSession, attempts: list[Attempt]) -> dict[str, Any] | None:
    """Return what a plain form strikes out or, right after a strike-out, puts back; None before the first."""
    struck = next(
        (one for one in attempts if one.struck_by is not None and one.struck_by.seq == session.seq), None
    )
    if struck is not None and struck.struck_by is not None:
        return {
            "said": gettext("Struck out: %(what)s.") % {"what": outcome_words(struck)},
            "uuid": struck.struck_by.uuid,
            "offer": gettext("Put it back"),
        }
    last = next((one for one in reversed(attempts) if one.struck_out_at is None), None)
    if last is None:
        return None
    said = gettext("Last: %(what)s.") % {"what": outcome_words(last)}
    return {"said": said, "uuid": last.uuid, "offer": gettext("Strike out last")}


def families_of(session: PracticeSession) -> list[tuple[str, str]]:
    """Return (code, words) of the families of the session's discipline."""
    codes = [code for code in session.discipline.get("families", []) if code in FAMILIES]
    return [(code, family_name(code)) for code in dict.fromkeys([*codes, "other"])]


def flat_attempt(attempt: Attempt) -> dict[str, Any]:
    """Return an attempt as the script reads it."""
    return {name: getattr(attempt, name) for name in FIELDS} | {
        "uuid": str(attempt.uuid),
        "position": attempt.position_id,
        "struck_by": None if attempt.struck_by is None else str(attempt.struck_by.uuid),
    }


def _current(
    request: HttpRequest,
    actor: Actor,
    known: dict[int, dict[str, Any]],
    plan: list[dict[str, Any]],
    attempts: list[Attempt],
) -> dict[str, Any]:
    """Return where the balls lie first: as the address asks, as at the last attempt, as planned."""
    asked = stroke_of(request.GET, actor)
    if asked is not None:
        return asked | {"asked": True}
    wanted = request.GET.get("position", "")
    if wanted.isascii() and wanted.isdigit() and int(wanted) in known:
        return _at(known[int(wanted)]) | {"asked": True}
    if attempts:
        last = attempts[-1]
        return {
            "position": last.position_id,
            "name": name_of(last.position) if last.position else "",
            "layout": last.layout,
            "cue_ball": last.cue_ball,
            "more": gettext("%(name)s plays") % {"name": ball_name(last.cue_ball)},
        }
    if plan:
        return _at(known[plan[0]["position"]])
    return {
        "position": None,
        "name": "",
        "layout": USUAL,
        "cue_ball": CUE,
        "more": gettext("%(name)s plays") % {"name": ball_name(CUE)},
    }


def _at(position: dict[str, Any]) -> dict[str, Any]:
    return {
        "position": position["id"],
        "name": position["name"],
        "layout": position["layout"],
        "cue_ball": position["cue_ball"],
        "more": ", ".join(part for part in (position["plays"], position["more"]) if part),
    }


def stroke_of(query: Any, actor: Actor) -> dict[str, Any] | None:
    """Return where the balls lay before a match's stroke, `?match=&place=`; None without one."""
    match, place = query.get("match", ""), query.get("place", "")
    if not all(one.isascii() and one.isdigit() and len(one) < 19 for one in (match, place)):
        return None
    seen = visible_matches(actor).filter(pk=int(match))
    stroke = StrokeProjection.objects.select_related("match").filter(match__in=seen, place=int(place)).first()
    layout = (stroke.details or {}).get("layout") if stroke else None
    if stroke is None or not layout:
        return None
    cue = stroke.details.get("cue_ball") or stroke.colour
    return {
        "position": None,
        "name": gettext("Match %(match)s, inning %(inning)s") % {"match": match, "inning": stroke.inning},
        "layout": layout,
        "cue_ball": cue,
        "more": gettext("%(name)s plays") % {"name": ball_name(cue)},
        "discipline": stroke.match.discipline_code,
        "from_match": int(match),
        "from_place": int(place),
    }


@require_POST
@page
def practice_attempt(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Write one attempt, or the strike-out of one, from a plain form, where no script does it."""
    session = session_or_404(actor, pk)
    access_session(actor, session, "write")
    if session.ended_at is not None:
        reason = gettext("The session was ended before. Go on with it first.")
        messages.error(request, gettext("Not written: %(reason)s") % {"reason": reason})
        return redirect("practice-session", pk=pk)
    sent = _of_form(request.POST)
    writer = Writer(
        author=Author(user_id=actor.user.pk),
        positions=visible_positions(actor),
        matches=visible_matches(actor),
    )
    (outcome,) = append_attempts(session.pk, [sent], writer)
    if outcome.error is not None:
        reason = outcome.error.reason
        field = f"{outcome.error.field}: " if isinstance(outcome.error, Malformed) else ""
        messages.error(request, gettext("Not written: %(reason)s") % {"reason": field + speak(reason)})
    return redirect("practice-session", pk=pk)


def _of_form(form: Any) -> dict[str, Any]:
    """Return what a plain form tells, as a device would send it."""
    if "void" in form:
        return {"uuid": form.get("uuid"), "void": form["void"]}
    sent = {name: form.get(name) for name in ("uuid", "outcome", "cue_ball")}
    sent["layout"] = _json(form.get("layout"))
    position = form.get("position", "")
    if position.isascii() and position.isdigit():
        sent["position"] = int(position)
    return sent


def _json(text: str | None) -> Any:
    try:
        return json.loads(text or "")
    except ValueError:
        return None
