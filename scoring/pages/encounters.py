"""An encounter of two teams: line-ups before it, its boards and sheet, what was recorded; the printed sheet."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor
from scoring.encounter_steps import do_step
from scoring.encounter_view import find_encounter, show_encounter, squad_choices, steps_of
from scoring.models import Encounter
from scoring.rules.event.encounters import SIDES
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said

from .event_forms import sent_id
from .fields import DayField, PlainForm
from .gate import page
from .line_up_changes import change_forms, do_change, squad_options
from .sheet_form import read_sheet, sheet_rows
from .teams import tried
from .words import speak


class PostponeForm(PlainForm):
    """Other days for an encounter."""

    on = DayField(label=_("Played on"), required=False, help_text=_("Left empty: to be agreed."))
    due = DayField(label=_("At the latest on"))
    why = forms.CharField(label=_("Why"), max_length=500)


class DisputeForm(PlainForm):
    """A board that the away side does not accept."""

    board = forms.TypedChoiceField(label=_("Board"), coerce=int)
    why = forms.CharField(label=_("What is wrong"), max_length=500)

    def __init__(self, *args: Any, boards: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["board"].choices = [(one, str(one)) for one in boards]


class SettleForm(PlainForm):
    """What an organiser decides about a disputed board; figures only where they change."""

    board = forms.TypedChoiceField(label=_("Board"), coerce=int)
    decision = forms.CharField(label=_("Decision"), max_length=500)

    def __init__(self, *args: Any, boards: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["board"].choices = [(one, str(one)) for one in boards]
        for side, label in (("home", _("home")), ("away", _("away"))):
            for name, word in (
                ("points", _("Points")),
                ("innings", _("Innings")),
                ("high_run", _("High run")),
            ):
                self.fields[f"{side}_{name}"] = forms.IntegerField(
                    label=gettext("%(what)s, %(side)s") % {"what": word, "side": label},
                    min_value=0,
                    max_value=100_000,
                    required=False,
                )
        self.speak_plainly()

    def told(self) -> dict[str, Any]:
        """Return the decision, with a result where figures were written."""
        given = self.cleaned_data
        figures = {
            side: {name: given[f"{side}_{name}"] for name in ("points", "innings", "high_run")}
            for side in SIDES
        }
        changed = any(value is not None for one in figures.values() for value in one.values())
        return {
            "board": given["board"],
            "decision": given["decision"],
            "result": {"outcome": "played", **figures} if changed else None,
        }


class AwardForm(PlainForm):
    """A whole encounter that goes to a team without its boards."""

    to = forms.ChoiceField(label=_("It goes to"), required=False)
    walkover = forms.BooleanField(label=_("a walkover: the other side did not appear"), required=False)
    why = forms.CharField(label=_("Why"), max_length=500)

    def __init__(self, *args: Any, told: Mapping[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [(side, told[side]["name"]) for side in SIDES]
        self.fields["to"].choices = [*names, ("", gettext("neither"))]


class WhyForm(PlainForm):
    """A reason."""

    why = forms.CharField(label=_("Why"), max_length=500)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def encounter(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show an encounter; captains and organisers do here what is theirs to do."""
    found = find_encounter(actor, pk, "write" if request.method == "POST" else "read")
    told = show_encounter(found, actor)
    act = request.POST.get("act", "") if request.method == "POST" else ""
    built = _forms(told, request.POST if act else None, act)
    changing = change_forms(found, told, request.POST if act == "change-line-up" else None)
    extra: dict[str, Any] = {}
    if act in built:
        form = built[act]
        if tried(form, lambda given: do_step(found, actor, act, _looked_at(request) | _given(form, given))):
            return redirect("encounter", pk=pk)
    elif act == "change-line-up":
        changed = do_change(request, found, actor, changing)
        if changed is None:
            return redirect("encounter", pk=pk)
        extra = changed
    elif act in ("line-up", "sheet"):
        act_on = _enter_line_up if act == "line-up" else _enter_sheet
        extra = act_on(request, found, actor, told)
        if not extra:
            return redirect("encounter", pk=pk)
    elif act:
        extra = _plain(request, found, actor, act)
        if not extra:
            return redirect("encounter", pk=pk)
    context = _context(found, actor, told, extra, changing) | {
        "forms": {name.replace("-", "_"): one for name, one in built.items()},
        "acted": act,
    }
    return render(request, "scoring/encounter.html", context)


def _forms(told: Mapping[str, Any], posted: Any, act: str) -> dict[str, Any]:
    """Return the forms an encounter may need, bound where one was sent."""
    open_boards = [one["board"] for one in told["boards"] if one["answer"] is None]
    disputed = [one["board"] for one in told["boards"] if one["answer"] == "disputed"]

    def bound(name: str) -> Any:
        return posted if act == name else None

    return {
        "postpone": PostponeForm(bound("postpone"), prefix="postpone", initial={"due": told["due_on"]}),
        "dispute": DisputeForm(bound("dispute"), prefix="dispute", boards=open_boards),
        "settle": SettleForm(bound("settle"), prefix="settle", boards=disputed),
        "award": AwardForm(bound("award"), prefix="award", told=told),
        "lift-award": WhyForm(bound("lift-award"), prefix="lift"),
    }


def _given(form: Any, given: dict[str, Any]) -> dict[str, Any]:
    if isinstance(form, SettleForm):
        return form.told()
    return {name: value for name, value in given.items() if value not in (None, "")}


def _looked_at(request: HttpRequest) -> dict[str, Any]:
    """Return how much was written on the boards when the page was sent, where the form says it."""
    sent = request.POST.get("expected", "")
    return {"expected": sent_id(sent)} if sent else {}


def _plain(request: HttpRequest, found: Encounter, actor: Actor, act: str) -> dict[str, Any]:
    """Do a step that is one button; return what is to be said of it, nothing once it is done."""
    told = _looked_at(request)
    if request.POST.get("side"):
        told["side"] = request.POST["side"]
    if act == "answer-postponement":
        told["agree"] = request.POST.get("agree") == "yes"
    try:
        done = do_step(found, actor, act, told)
    except (Malformed, Refused) as refusal:
        return {"refusal": speak(refusal.reason)}
    return {"seen": done["looked"]} if "looked" in done else {}


def _enter_line_up(
    request: HttpRequest, found: Encounter, actor: Actor, told: Mapping[str, Any]
) -> dict[str, Any]:
    """Enter a line-up; one that is irregular is shown with its warnings first, and entered when sent again."""
    side = request.POST.get("side", "")
    sent = [request.POST.get(f"board_{number}", "") for number in range(1, told["board_count"] + 1)]
    players = [sent_id(one) or None for one in sent]
    chosen = ",".join(sent)
    given = {"side": side, "players": players}
    extra: dict[str, Any] = {"tried": {side: players}}
    try:
        if request.POST.get("knowing") != chosen:
            warned = do_step(found, actor, "check-line-up", given)["warnings"]
            if warned:
                return extra | {
                    "warned": [speak(one) for one in warned],
                    "knowing": chosen,
                    "warned_side": side,
                }
        do_step(found, actor, "line-up", given | {"uuid": _uuid(request)})
    except (Malformed, Refused) as refusal:
        return extra | {"refusal": speak(refusal.reason)}
    return {}


def _uuid(request: HttpRequest) -> uuids.UUID | None:
    try:
        return uuids.UUID(request.POST.get("uuid", ""))
    except ValueError:
        return None


def _enter_sheet(
    request: HttpRequest, found: Encounter, actor: Actor, told: Mapping[str, Any]
) -> dict[str, Any]:
    """Write the boards that were filled in, and hand the sheet over where that was asked for."""
    wrong: dict[int, str] = {}
    boards, unread = read_sheet(request.POST, told["boards"])
    wrong |= unread
    for board in boards:
        try:
            do_step(found, actor, "board", board)
        except (Malformed, Refused) as refusal:
            wrong[board["board"]] = _sentence(refusal)
    extra: dict[str, Any] = {"posted": request.POST, "wrong": wrong}
    if wrong:
        return extra | {"refusal": gettext("Some boards are to be mended; the others are written.")}
    if request.POST.get("then") == "hand-over":
        try:
            do_step(found, actor, "hand-over", {"uuid": _uuid(request)})
        except (Malformed, Refused) as refusal:
            return extra | {"refusal": speak(refusal.reason)}
    return {}


def _sentence(refusal: Malformed | Refused) -> str:
    reason = speak(refusal.reason)
    if isinstance(refusal, Malformed) and "." in refusal.field:
        side = {"home": gettext("home"), "away": gettext("away")}.get(refusal.field.split(".")[0], "")
        return speak(said("%(side)s: %(reason)s", side=side, reason=reason)) if side else reason
    return reason[:1].upper() + reason[1:]


def _context(
    found: Encounter,
    actor: Actor,
    told: dict[str, Any],
    extra: Mapping[str, Any],
    changing: Mapping[str, Any],
) -> dict[str, Any]:
    organises, own = told["organises"], told["your_sides"]
    sides = []
    for side in SIDES:
        line_up = told["line_ups"][side]
        may_enter = side in own or (organises and not line_up["entered"])
        entry = may_enter and told["status"] == Encounter.Status.PLANNED
        sides.append(
            {
                "side": side,
                "team": told[side],
                "own": side in own,
                "line_up": line_up,
                "change": changing.get(side),
                "form": _line_up_form(found, side, told, extra) if entry else None,
                "may_ask": side in own and line_up["entered"] and told["status"] == "planned",
                "may_look": organises and line_up["asked"] and told["status"] == "planned",
                "seen": _names(found, side, extra["seen"][side]) if side in extra.get("seen", {}) else None,
            }
        )
    home, away = organises or "home" in own, organises or "away" in own
    lined_up = told["status"] == Encounter.Status.LINED_UP
    answerable = told["status"] in (Encounter.Status.ENTERED, Encounter.Status.DISPUTED)
    unanswered = [one["board"] for one in told["boards"] if one["answer"] is None]
    asked = told["postponement"]
    return {
        "encounter": found,
        "told": told,
        "competition": found.home.competition,
        "sides": sides,
        "rows": sheet_rows(told["boards"], extra.get("posted"), extra.get("wrong", {}))
        if home and lined_up
        else [],
        "may_answer": away and answerable and bool(unanswered),
        "disputed": [one["board"] for one in told["boards"] if one["answer"] == "disputed"],
        "may_postpone": (organises or own) and told["status"] in ("planned", "lined-up"),
        "at_once": organises and not own,
        "asked_days": {name: asked[name] and parse_date(asked[name]) for name in ("on", "due")}
        if asked
        else {},
        "may_agree": asked is not None and (organises or bool(set(own) - {asked["side"]})),
        "may_take_back": asked is not None and asked["side"] in own,
        "steps": _steps(found) if organises or own else [],
        "uuid": uuids.uuid4(),
        "refusal": None,
    } | dict(extra)


def _names(found: Encounter, side: str, players: list[int | None]) -> list[str]:
    known = {one.player_id: one.player.full_name for one in squad_choices(found, side)}
    return [gettext("nobody") if pk is None else known.get(pk, str(pk)) for pk in players]


def _line_up_form(
    found: Encounter, side: str, told: Mapping[str, Any], extra: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """Return a row a board: its number and who may be chosen, those by average who are not substitutes first."""
    squad = squad_choices(found, side)
    chosen = extra.get("tried", {}).get(side) or told["line_ups"][side]["players"]
    if chosen is None:
        chosen = [one.player_id for one in squad if not one.substitute]
    choices = squad_options(found, side)
    return [
        {
            "number": number,
            "choices": choices,
            "chosen": chosen[number - 1] if number <= len(chosen) else None,
        }
        for number in range(1, told["board_count"] + 1)
    ]


_WORDS = {
    "line-up": _("line-up entered"),
    "line-up-ask": _("organisers asked to look at the line-up"),
    "line-up-look": _("line-up looked at"),
    "reveal": _("both line-ups shown"),
    "line-up-change": _("another player came in"),
    "postpone": _("postponement asked for"),
    "postpone-agree": _("postponement agreed"),
    "postpone-decline": _("postponement turned down"),
    "sheet": _("sheet handed over"),
    "boards-confirm": _("boards confirmed"),
    "board-dispute": _("board disputed"),
    "board-settle": _("board decided"),
    "encounter-award": _("awarded"),
    "encounter-lift": _("award taken back"),
}


def _steps(found: Encounter) -> list[dict[str, Any]]:
    rows = []
    for one in steps_of(found):
        data, text = one.data, getattr(one, "text", None)
        side = data.get("side")
        what = _WORDS[one.kind]
        if one.kind == "postpone" and side is None:
            what = _("postponed by an organiser")
        texts = {} if text is None else text.texts
        boards = [data["board"]] if "board" in data else data.get("boards", [])
        rows.append(
            {
                "at": one.received_at,
                "what": what,
                "team": "" if side is None else getattr(found, side).name,
                "boards": ", ".join(map(str, boards)),
                "who": one.author_user.get_username() if one.author_user else "",
                "why": texts.get("why") or texts.get("decision") or "",
            }
        )
    return rows


@require_safe
@never_cache
@page
def encounter_sheet(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show the sheet of an encounter as it prints: its boards, and places for signatures."""
    found = find_encounter(actor, pk)
    told = show_encounter(found, actor)
    boards = told["boards"] or [{"board": number} for number in range(1, told["board_count"] + 1)]
    context = {
        "encounter": found,
        "told": told,
        "boards": boards,
        "competition": found.home.competition,
        "captains": [
            (team.name, team.captain.shown_name(actor.names_open) if team.captain else "")
            for team in (found.home, found.away)
        ],
    }
    return render(request, "scoring/encounter_sheet.html", context)
