"""Write a match: who plays, what, how far, under which rules."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from scoring.access import (
    REFEREEING,
    Actor,
    Forbidden,
    access_new_match,
    access_new_player,
    named_players,
    visible_competitions,
)
from scoring.arrange import do_arrange_match
from scoring.models import Club, Competition, Player, PlayTable
from scoring.regulations import disciplines_of, rule_sets_of
from scoring.rules.formats import FORMATS
from scoring.rules.said import Malformed

from .fields import NameField, PlainForm, add_reason, number, parted
from .gate import page

NUMBERS = ("innings_limit", "sets_to_win", "shot_seconds", "timeouts")
# Fields of the arrangement -> fields of the form.
WHERE = {
    "players": "player_b",
    "discipline": "discipline",
    "rule_set": "rule_set",
    "format.distance": "distance_a",
    "format.preset": "preset",
    "format.warning_seconds": "shot_seconds",
} | {f"format.{name}": name for name in NUMBERS}


@require_http_methods(["GET", "HEAD", "POST"])
@page
def match_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Ask for a match, and arrange it."""
    club = Club.objects.the_first()
    form = MatchForm(
        request.POST if request.method == "POST" else None,
        actor=actor,
        club=club,
        initial=_asked(request, actor),
    )
    if request.method == "POST" and form.is_valid():
        match = do_start(form, actor, club)
        if match is not None:
            return redirect("match-score", pk=match.pk)
    context = {
        "form": form,
        "presets": {code: dict(preset.fields) for code, preset in FORMATS.items()},
        "disciplines": {code: dict(one.default_format) for code, one in form.games.items()},
    }
    return render(request, "scoring/match_new.html", context)


def _asked(request: HttpRequest, actor: Actor) -> dict[str, Any]:
    """Return what the form begins with: `competition` of the query string, and its discipline."""
    asked = request.GET.get("competition", "")
    if not (asked.isascii() and asked.isdigit() and len(asked) < 19):
        return {}
    found = visible_competitions(actor).filter(pk=int(asked)).first()
    return {"competition": found.pk, "discipline": found.discipline} if found else {}


def do_start(form: MatchForm, actor: Actor, club: Club):
    """Enrol the guests and arrange the match, or say in the form what is to be mended."""
    chosen = form.cleaned_data
    known = [chosen[name].pk for name in ("player_a", "player_b") if chosen.get(name)]
    competition: Competition | None = chosen["competition"]
    access_new_match(actor, competition.club if competition else club, competition, known)
    try:
        with transaction.atomic():
            players = tuple(form.side(letter, actor) for letter in "ab")
            return do_arrange_match(
                club=competition.club if competition else club,
                players=players,
                discipline=chosen["discipline"],
                competition=competition,
                table=chosen["table"],
                format=form.agreed(),
                rule_set=chosen["rule_set"] or None,
                created_by=actor.user,
                scheduled_at=chosen["scheduled_at"],
            )
    except Malformed as refusal:
        add_reason(form, WHERE.get(refusal.field), refusal)
        return None


class MatchForm(PlainForm):
    """A match as a person asks for it."""

    player_a = forms.ModelChoiceField(Player.objects.none(), label=_("First player"), required=False)
    guest_a = NameField(label=_("or a guest, by name"), required=False)
    player_b = forms.ModelChoiceField(Player.objects.none(), label=_("Second player"), required=False)
    guest_b = NameField(label=_("or a guest, by name"), required=False)
    discipline = forms.ChoiceField(label=_("Discipline"))
    preset = forms.ChoiceField(label=_("Format"), required=False)
    distance_a = number(_("Distance of the first player"), 1000)
    distance_b = number(_("Distance of the second player"), 1000)
    equalizing = forms.ChoiceField(
        label=_("Equalizing inning"),
        required=False,
        choices=[("", _("as the format says")), ("yes", _("yes")), ("no", _("no"))],
    )
    innings_limit = number(_("Limit"), 1000)
    sets_to_win = number(_("Sets to win"), 50)
    shot_seconds = number(_("Shot clock"), 600)
    timeouts = number(_("Time-outs"), 20)
    rule_set = forms.ChoiceField(label=_("Rule set"), required=False)
    table = forms.ModelChoiceField(PlayTable.objects.none(), label=_("Table"), required=False)
    competition = forms.ModelChoiceField(Competition.objects.none(), label=_("Competition"), required=False)
    scheduled_at = forms.DateTimeField(
        label=_("To be played"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        help_text=_("Left empty, it is played now."),
    )

    def __init__(self, *args: Any, actor: Actor, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor
        self.games = disciplines_of(club)
        self.may_enrol = _may_enrol_guests(actor)
        players = named_players(actor).filter(name__isnull=False).named()
        for letter in "ab":
            field = self.fields[f"player_{letter}"]
            field.queryset = players.order_by("name__family", "name__given", "pk")
            field.empty_label = _("choose a player")
            if not self.may_enrol:
                del self.fields[f"guest_{letter}"]
        own = actor.own_players
        if own:
            self.fields["player_a"].initial = min(own)
        self.fields["discipline"].choices = [(code, gettext(one.name)) for code, one in self.games.items()]
        self.fields["discipline"].initial = "three-cushion"
        presets = [(code, gettext(one.name)) for code, one in FORMATS.items()]
        self.fields["preset"].choices = [("", _("as the competition or the discipline has it")), *presets]
        rule_sets = [(code, gettext(one.name)) for code, one in rule_sets_of(club).items()]
        self.fields["rule_set"].choices = [("", _("as the competition or the club has it")), *rule_sets]
        self.fields["table"].queryset = PlayTable.objects.filter(club=club)
        self.fields["table"].empty_label = _("no table named")
        self.fields["competition"].queryset = _arranged_by(actor, club)
        self.fields["competition"].empty_label = _("none, a match by itself")

    def clean(self) -> dict[str, Any]:
        """Check that two sides are named, and not one twice."""
        chosen = super().clean() or self.cleaned_data
        for letter in "ab":
            name, guest = f"player_{letter}", f"guest_{letter}"
            if name in self.errors or guest in self.errors:
                continue
            if chosen.get(name) and chosen.get(guest):
                self.add_error(guest, _("Choose a player or name a guest, not both."))
            elif not chosen.get(name) and not chosen.get(guest):
                self.add_error(
                    name,
                    _("Choose a player or name a guest.") if self.may_enrol else _("Choose a player."),
                )
        first, second = chosen.get("player_a"), chosen.get("player_b")
        if first and first == second:
            self.add_error("player_b", _("Two different players are needed."))
        competition = chosen.get("competition")
        if competition and chosen.get("discipline") not in (None, competition.discipline):
            self.add_error("discipline", _("The competition is played in another discipline."))
        return chosen

    def side(self, letter: str, actor: Actor) -> Player:
        """Return a side's player; a guest is enrolled."""
        player = self.cleaned_data[f"player_{letter}"]
        if player is not None:
            return player
        access_new_player(actor, {"guest": True})
        given, family = parted(self.cleaned_data[f"guest_{letter}"])
        return Player.objects.enrol(given, family, guest=True, created_by=actor.user)

    def agreed(self) -> dict[str, Any]:
        """Return the format: the preset, and what was written over it; 0 means none."""
        chosen = self.cleaned_data
        form: dict[str, Any] = {"preset": chosen["preset"]} if chosen["preset"] else {}
        distances = [chosen["distance_a"], chosen["distance_b"]]
        if distances != [None, None]:
            below = self._distance_below()
            filled = [own if own is not None else below[place] for place, own in enumerate(distances)]
            form["distance"] = [one or None for one in filled]
        for name in NUMBERS:
            if chosen[name] is not None:
                form[name] = chosen[name] or None
        if chosen["equalizing"]:
            form["equalizing"] = chosen["equalizing"] == "yes"
        return form

    def _distance_below(self) -> list[int | None]:
        """Return the distances that hold where one was left empty."""
        chosen = self.cleaned_data
        layers = [self.games[chosen["discipline"]].default_format]
        if chosen["competition"]:
            layers.append(chosen["competition"].format)
        if chosen["preset"]:
            layers.append(FORMATS[chosen["preset"]].fields)
        named = [layer["distance"] for layer in layers if layer.get("distance")]
        return list(named[-1]) if named else [None, None]


def _arranged_by(actor: Actor, club: Club) -> QuerySet[Competition]:
    """Return the competitions in which `actor` may arrange matches."""
    seen = visible_competitions(actor).filter(club=club)
    own = [
        pk
        for pk in seen.values_list("pk", flat=True)
        if actor.organises(club.pk, pk) or actor.holds(REFEREEING, club.pk, pk)
    ]
    return seen.filter(pk__in=own)


def _may_enrol_guests(actor: Actor) -> bool:
    try:
        access_new_player(actor, {"guest": True})
    except Forbidden:
        return False
    return True
