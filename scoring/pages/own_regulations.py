"""Forms for a club's own rule sets and disciplines; no code is needed for either."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from scoring.access import Actor
from scoring.models import Club, OwnDiscipline, OwnRuleSet
from scoring.models.base import today
from scoring.own_regulations import (
    do_add_discipline,
    do_add_rule_set,
    do_change_discipline,
    do_change_rule_set,
)
from scoring.rules.disciplines import FROZEN, OFF_TABLE
from scoring.rules.formats import FORMATS
from scoring.rules.rulesets import DEFAULT, RULE_SETS, OneOf, Setting, Whole, settings
from scoring.rules.said import Malformed

from .fields import DayField, NameField, PlainForm, add_reason, number
from .gate import page
from .regulations import value_words
from .words import speak

YES_NO = [("yes", _("yes")), ("no", _("no"))]


class CodeField(forms.CharField):
    """The code by which programs name a rule set or a discipline."""

    def __init__(self) -> None:
        super().__init__(
            label=_("Code"),
            max_length=60,
            help_text=_("Small letters, digits and hyphens: winter-league. It stays as it is."),
            widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off"}),
        )


class RuleSetForm(PlainForm):
    """A rule set: a preset and the settings that differ from it; an own one shows every setting."""

    name = NameField(label=_("Name"), max_length=120)
    code = CodeField()
    since = DayField(label=_("In force from"))
    preset = forms.ChoiceField(label=_("Starting from"), initial=DEFAULT)

    def __init__(self, *args: Any, row: OwnRuleSet | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["preset"].choices = [(code, gettext(one.name)) for code, one in RULE_SETS.items()]
        self.fields["since"].initial = today
        for one in settings():
            self.fields[one.name] = _setting_field(one, fixed=row is not None)
        self.speak_plainly()
        if row is not None:
            del self.fields["code"], self.fields["preset"]
            self.initial = {name: _shown(value) for name, value in row.data.items()}

    def settings(self) -> list[Any]:
        """Return the fields of the settings, bound, in the order of a match."""
        return [self[one.name] for one in settings()]

    def written(self) -> dict[str, Any]:
        """Return the rule set as JSON values; a setting left to the preset is left out."""
        chosen = {name: value for name, value in self.cleaned_data.items() if value not in ("", None)}
        for one in settings():
            if one.name in chosen and not isinstance(one.read, OneOf | Whole):
                chosen[one.name] = chosen[one.name] == "yes"
        return chosen


def _setting_field(one: Setting, *, fixed: bool) -> forms.Field:
    """Return the field of a setting; `fixed`: there is no preset to leave it to."""
    meaning = speak(one.meaning)
    if isinstance(one.read, Whole):
        return number(
            meaning,
            one.read.high,
            "" if fixed else _("Left empty: as in the preset."),
            one.read.low,
            required=fixed,
        )
    choices: list[tuple[str, Any]] = list(YES_NO)
    if isinstance(one.read, OneOf):
        choices = [(code, value_words(one.name, code)) for code in one.read.choices]
    if not fixed:
        choices = [("", _("as in the preset")), *choices]
    return forms.ChoiceField(label=meaning, choices=choices, required=fixed)


def _shown(value: Any) -> Any:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else value


class DisciplineForm(PlainForm):
    """A discipline in the shape of the presets."""

    name = NameField(label=_("Name"), max_length=120)
    code = CodeField()
    required_cushions = number(_("Cushions a point needs"), 9, required=True, initial=3)
    red_first_at_opening = forms.BooleanField(
        label=_("at the opening stroke the red is met first"), required=False, initial=True
    )
    off_table = forms.ChoiceField(
        label=_("When a ball leaves the table"), choices=[(code, value_words("", code)) for code in OFF_TABLE]
    )
    frozen = forms.ChoiceField(
        label=_("When the cue ball lies against a ball"),
        choices=[(code, value_words("", code)) for code in FROZEN],
    )
    announce_last = number(
        _("The referee announces the last"),
        99,
        _("“And three”: the last three. 0 for none."),
        required=True,
        initial=3,
    )
    implausible_run = number(
        _("A longer run is asked about"), 100_000, _("Left empty, no run is asked about."), least=1
    )
    decimals = number(_("Decimals of an average"), 6, required=True, initial=3)
    preset = forms.ChoiceField(label=_("Format"), required=False)
    distance = number(_("Distance"), 1000, _("Left empty, it is as the format says; 0 means none."))
    innings_limit = number(_("Limit"), 1000, _("Left empty, it is as the format says; 0 means none."))

    def __init__(self, *args: Any, row: OwnDiscipline | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.row = row
        for name, choices in (("off_table", OFF_TABLE), ("frozen", FROZEN)):
            self.fields[name].choices = [(code, value_words("", code)) for code in choices]
        first = _("as it is now") if row else _("no clock, with the equalizing inning")
        presets = [(code, gettext(one.name)) for code, one in FORMATS.items()]
        self.fields["preset"].choices = [("", first), *presets]
        if row is not None:
            del self.fields["code"]
            form = row.data["default_format"]
            same = form["distance"][0] if form["distance"][0] == form["distance"][1] else None
            self.initial = {name: row.data[name] for name in self.fields if name in row.data}
            self.initial |= {"distance": same, "innings_limit": form["innings_limit"]}

    def written(self) -> dict[str, Any]:
        """Return the discipline as JSON values."""
        chosen = dict(self.cleaned_data)
        preset = chosen.pop("preset")
        below = dict(self.row.data["default_format"]) if self.row and not preset else {}
        if preset:
            below = dict(FORMATS[preset].fields)
        below["average_decimals"] = chosen["decimals"]
        distance, limit = chosen.pop("distance"), chosen.pop("innings_limit")
        if distance is not None:
            below["distance"] = [distance or None] * 2
        if limit is not None:
            below["innings_limit"] = limit or None
        return chosen | {"default_format": below}


@require_http_methods(["GET", "HEAD", "POST"])
@page
def rule_set_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Add a rule set."""
    form = RuleSetForm(request.POST if request.method == "POST" else None)
    club = Club.objects.the_first()
    if request.method == "POST" and _written(form, lambda: do_add_rule_set(club, form.written())):
        return redirect("regulations")
    return render(request, "scoring/rule_set_form.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@page
def rule_set_edit(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Change an own rule set; no match is reached by it."""
    row = get_object_or_404(OwnRuleSet, pk=pk)
    name = row.data["name"]
    form = RuleSetForm(request.POST if request.method == "POST" else None, row=row)
    if request.method == "POST" and _written(form, lambda: do_change_rule_set(row, form.written())):
        return redirect("regulations")
    return render(request, "scoring/rule_set_form.html", {"form": form, "row": row, "name": name})


@require_http_methods(["GET", "HEAD", "POST"])
@page
def discipline_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Add a discipline."""
    form = DisciplineForm(request.POST if request.method == "POST" else None)
    club = Club.objects.the_first()
    if request.method == "POST" and _written(form, lambda: do_add_discipline(club, form.written())):
        return redirect("regulations")
    return render(request, "scoring/discipline_form.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@page
def discipline_edit(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Change an own discipline; no match is reached by it."""
    row = get_object_or_404(OwnDiscipline, pk=pk)
    name = row.data["name"]
    form = DisciplineForm(request.POST if request.method == "POST" else None, row=row)
    if request.method == "POST" and _written(form, lambda: do_change_discipline(row, form.written())):
        return redirect("regulations")
    return render(request, "scoring/discipline_form.html", {"form": form, "row": row, "name": name})


def _written(form: Any, write: Any) -> bool:
    """Write what a form holds; False where something is to be mended first."""
    if not form.is_valid():
        return False
    try:
        write()
    except Malformed as refusal:
        add_reason(form, refusal.field.rpartition(".")[2], refusal)
        return False
    return True
