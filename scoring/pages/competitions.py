"""Competitions: the list, making one and changing it; `competition_front` shows one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor, access_competition, visible_competitions
from scoring.competing import do_write_competition
from scoring.models import Club, Competition, Rounding
from scoring.regulations import disciplines_of, rule_sets_of
from scoring.rules.formats import FORMATS
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed

from .fields import DayField, NameField, PlainForm, add_reason, number
from .gate import may, page
from .words import speak

A_PAGE = 30
# What a competition already holds, as against what a code means today.
KEPT = "as-it-is"
# Fields of the competition -> fields of the form.
WHERE = {
    "discipline": "discipline",
    "rule_set": "rule_set",
    "format.distance": "distance",
    "format.preset": "preset",
}


@require_safe
@page
def competition_list(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the competitions that the reader may see."""
    found = Paginator(visible_competitions(actor).order_by("-starts_on", "-pk"), A_PAGE).get_page(
        request.GET.get("page")
    )
    games = disciplines_of(Club.objects.the_first())
    context = {
        "found": found,
        "competitions": [{"competition": one, "discipline": game_name(games, one)} for one in found],
        "may_make": may(actor, "competition-new"),
    }
    return render(request, "scoring/competitions.html", context)


def game_name(games: dict[str, Any], competition: Competition) -> str:
    """Return the name of a competition's discipline, for a reader."""
    game = games.get(competition.discipline)
    return gettext(game.name) if game else competition.discipline


def competition_or_404(actor: Actor, pk: int, right: Any) -> Competition:
    """Return a competition, once `actor` may read or manage it."""
    found = get_object_or_404(Competition.objects.select_related("club"), pk=pk)
    access_competition(actor, found, right)
    return found


class CompetitionForm(PlainForm):
    """A competition: its name, and what its matches are unless one says otherwise."""

    name = NameField(label=_("Name"), max_length=120)
    discipline = forms.ChoiceField(label=_("Discipline"), initial="three-cushion")
    preset = forms.ChoiceField(label=_("Format"), required=False)
    distance = number(_("Distance"), 1000, _("Left empty, it is as the format says; 0 means none."))
    rule_set = forms.ChoiceField(label=_("Rule set"), required=False)
    average_decimals = number(_("Decimals of an average"), 6, _("Left empty, as the discipline has it."))
    average_rounding = forms.ChoiceField(
        label=_("An average is"), required=False, choices=[("", _("as the format says")), *Rounding.choices]
    )
    starts_on = DayField(label=_("First day"), required=False)
    ends_on = DayField(label=_("Last day"), required=False)
    players_score = forms.BooleanField(label=_("players write their own matches"), required=False)

    def __init__(self, *args: Any, club: Club, competition: Competition | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.competition = competition
        games = disciplines_of(club)
        self.fields["discipline"].choices = [(code, gettext(one.name)) for code, one in games.items()]
        presets = [("", _("as the discipline has it"))]
        presets += [(code, gettext(one.name)) for code, one in FORMATS.items()]
        sets = [("", _("as the club has it"))]
        sets += [(code, gettext(one.name)) for code, one in rule_sets_of(club).items()]
        if competition is not None:
            preset, distance = _preset_of(competition.format)
            self.initial |= {"preset": preset, "distance": distance}
            if preset == KEPT:
                presets.insert(0, (KEPT, _("as it is now")))
            if competition.rule_set:
                name = gettext(competition.rule_set.get("name", ""))
                sets.insert(0, (KEPT, gettext("as it is now: %(name)s") % {"name": name}))
                self.initial["rule_set"] = KEPT
            if competition.discipline not in games:
                self.fields["discipline"].choices.append((competition.discipline,) * 2)
        self.fields["preset"].choices = presets
        self.fields["rule_set"].choices = sets

    def clean(self) -> dict[str, Any]:
        """Check the days, and that a discipline with matches stays what it is."""
        chosen = super().clean() or self.cleaned_data
        if chosen.get("starts_on") and chosen.get("ends_on") and chosen["ends_on"] < chosen["starts_on"]:
            self.add_error("ends_on", _("The last day comes after the first."))
        own = self.competition
        moved = own is not None and chosen.get("discipline") not in (None, own.discipline)
        if own is not None and moved and own.matches.exists():
            self.add_error("discipline", _("Matches are written in it already, so the discipline stays."))
        return chosen

    def written(self) -> dict[str, Any]:
        """Return the fields of the competition, the regulations completed."""
        chosen = dict(self.cleaned_data)
        preset, distance = chosen.pop("preset"), chosen.pop("distance")
        if preset == KEPT and self.competition is not None:
            chosen["format"] = {
                name: part for name, part in self.competition.format.items() if name != "distance"
            }
            if (
                distance is None
                and self.initial["distance"] is None
                and "distance" in self.competition.format
            ):
                chosen["format"]["distance"] = self.competition.format["distance"]
        else:
            # The fields, not the code: a preset may read differently another year.
            chosen["format"] = dict(FORMATS[preset].fields) if preset else {}
        if distance is not None:
            chosen["format"]["distance"] = [distance or None] * 2
        rule_set = chosen.pop("rule_set")
        if rule_set != KEPT:
            chosen["rule_set"] = rule_set or {}
        chosen["average_rounding"] = chosen["average_rounding"] or None
        return chosen


def _preset_of(form: dict[str, Any]) -> tuple[str, int | None]:
    """Return the preset that a format is, and the one distance that was set over it."""
    own = form.get("distance")
    both = own[0] if own and own[0] == own[1] else None
    without = {name: part for name, part in form.items() if name != "distance"}
    for code, preset in FORMATS.items():
        if form in (dict(preset.fields), {"preset": code}):
            return code, None
        bare = {name: part for name, part in preset.fields.items() if name != "distance"}
        if both is not None and without in (bare, {"preset": code}):
            return code, both
    if not without and (own is None or both is not None):
        return "", both
    return KEPT, both


@require_http_methods(["GET", "HEAD", "POST"])
@page
def competition_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Make a competition; it is published by a step of its own."""
    club = Club.objects.the_first()
    form = CompetitionForm(request.POST if request.method == "POST" else None, club=club)
    fresh = Competition(club=club, created_by=actor.user)
    if request.method == "POST" and form.is_valid() and _write(form, fresh):
        return redirect("competition", pk=fresh.pk)
    return render(request, "scoring/competition_form.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@page
def competition_edit(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Change a competition; matches that are written keep what they were opened with."""
    found = competition_or_404(actor, pk, "manage")
    names = [name for name in CompetitionForm.base_fields if name not in ("preset", "distance", "rule_set")]
    now = {name: getattr(found, name) for name in names}
    form = CompetitionForm(
        request.POST if request.method == "POST" else None, initial=now, club=found.club, competition=found
    )
    title = found.name
    if request.method == "POST" and form.is_valid() and _write(form, found):
        return redirect("competition", pk=found.pk)
    context = {"form": form, "competition": found, "name": title}
    return render(request, "scoring/competition_form.html", context)


def _write(form: CompetitionForm, competition: Competition) -> bool:
    try:
        do_write_competition(competition, form.written())
    except Malformed as refusal:
        add_reason(form, WHERE.get(refusal.field), refusal)
        return False
    except Refused as refusal:
        form.add_error(None, speak(refusal.reason))
        return False
    return True
