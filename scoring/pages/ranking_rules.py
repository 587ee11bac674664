"""The regulations of a competition: how it is ranked, what a match brings, which prizes are given."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from scoring.access import Actor
from scoring.competing import do_write_competition
from scoring.rules.event.regulations import Regulations
from scoring.rules.match.checks import Refused
from scoring.rules.points import COMPARISONS, SCHEMES, Scheme
from scoring.rules.points import OUTCOMES as SCORED
from scoring.rules.prizes import PRIZES
from scoring.rules.ranking import CRITERIA
from scoring.rules.said import Malformed

from .competitions import competition_or_404
from .fields import NameField, PlainForm, add_reason, number
from .gate import page
from .words import speak

OWN, KEPT = "own", "as-it-is"
# Outcomes whose bringing is chosen; what was played counts in full, what was annulled for nothing.
CHOSEN = {
    "retired": _("A match that was given up"),
    "walkover": _("A walkover"),
    "award": _("An awarded match"),
    "disqualified": _("A match ended by a disqualification"),
}
BRINGS = {
    "all": _("everything that was made"),
    "match-points": _("match points alone"),
    "nothing": _("nothing"),
}
PRIZE_NAMES = {
    "best-average": _("best average"),
    "high-run": _("high run"),
    "shortest-match": _("shortest match"),
}
COMPARED = {"exact": _("exactly"), "shown": _("as both are shown")}
OUTCOME_NAMES = {"win": _("win"), "draw": _("draw"), "loss": _("loss")}
# So many criteria can be chosen, unless the order already holds more.
PLACES = 7
# Settings that are a field as they are.
PLAIN = (
    "restart", "win", "draw", "loss", "absent", "withdrawals", "rest_minutes", "handicapped", "third_place",
)  # fmt: skip


def _outcomes(label: Any) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label,
        required=False,
        choices=list(OUTCOME_NAMES.items()),
        widget=forms.CheckboxSelectMultiple,
    )


class RegulationsForm(PlainForm):
    """The settings of `scoring.rules.event.regulations` that the ranking and the prizes go by."""

    restart = forms.BooleanField(
        label=_("after a split, begin the order again inside each part"), required=False
    )
    win = number(_("Match points of a win"), 100, required=True)
    draw = number(_("of a draw"), 100, required=True)
    loss = number(_("of a loss"), 100, required=True)
    absent = forms.ChoiceField(
        label=_("Who does not turn up is credited with"),
        choices=[("nothing", _("nothing")), ("own-average", _("the own average over the own distance"))],
        help_text=_("With the own average, a walkover counts in full."),
    )
    withdrawals = forms.ChoiceField(
        label=_("When a player withdraws"),
        choices=[
            ("keep", _("what was played stays, the rest is forfeited")),
            ("annul", _("every match of the player counts for nobody")),
        ],
    )
    scheme = forms.ChoiceField(
        label=_("Points of a match"),
        required=False,
        help_text=_("A scheme takes the place of the match points above; each line of the table shows how."),
    )
    own_name = NameField(label=_("Name"), required=False, max_length=120)
    own_source = NameField(label=_("Where it comes from"), required=False, max_length=200)
    own_win = number(_("Points of a win"), 100)
    own_draw = number(_("of a draw"), 100)
    own_loss = number(_("of a loss"), 100)
    percentage_of = number(
        _("Points for the whole distance"), 1000, _("10: ten times what was made, by the distance."), 1
    )
    percentage_decimals = number(_("Cut to decimals"), 6)
    percentage_for = _outcomes(_("Given for"))
    average_win = number(_("Own average beaten: more for a win"), 100)
    average_draw = number(_("for a draw"), 100)
    average_loss = number(_("for a loss"), 100)
    average_compare = forms.ChoiceField(
        label=_("The averages are compared"), required=False, choices=list(COMPARED.items())
    )
    average_decimals = number(_("Decimals that are shown"), 6)
    short_below = number(_("More for a match under so many innings"), 1000, "", 1)
    short_points = number(_("Points for it"), 100)
    short_for = _outcomes(_("Given for"))
    rest_minutes = number(_("Rest between two matches of a player"), 600, required=True)
    handicapped = forms.BooleanField(
        label=_("everybody plays to the own distance of the day"), required=False
    )
    third_place = forms.BooleanField(label=_("a knock-out has a match for the third place"), required=False)

    def __init__(self, *args: Any, regulations: Regulations, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.regulations = regulations
        self.places = max(PLACES, len(regulations.order))
        criteria = [("", "–"), *((code, speak(name)) for code, name in CRITERIA.items())]
        for place in range(self.places):
            self.fields[f"order_{place}"] = forms.ChoiceField(
                label=gettext("Criterion %(number)s") % {"number": place + 1},
                required=place == 0,
                choices=criteria,
            )
        for outcome, label in CHOSEN.items():
            self.fields[f"counts_{outcome}"] = forms.ChoiceField(label=label, choices=list(BRINGS.items()))
        for name in PRIZES:
            self.fields[f"prize_{name}"] = forms.BooleanField(label=PRIZE_NAMES[name], required=False)
            self.fields[f"least_{name}"] = number(_("Fewest innings of its match"), 1000, "", 1)
        schemes = [("", gettext("match points, as above"))]
        schemes += [(code, gettext(one.name)) for code, one in SCHEMES.items()]
        kept = regulations.points_scheme
        if kept is not None and kept not in SCHEMES.values():
            schemes.append((KEPT, gettext("as it is now: %(name)s") % {"name": kept.name}))
        self.fields["scheme"].choices = [*schemes, (OWN, gettext("an own scheme, written below"))]
        self.speak_plainly()
        self.initial = _initial(regulations) | self.initial

    # The parts of the page, in its order.

    def order(self) -> list[Any]:
        return [self[f"order_{place}"] for place in range(self.places)]

    def brings(self) -> list[Any]:
        return [self[f"counts_{outcome}"] for outcome in CHOSEN]

    def prizes(self) -> list[tuple[Any, Any]]:
        return [(self[f"prize_{name}"], self[f"least_{name}"]) for name in PRIZES]

    def own(self) -> list[Any]:
        names = ("own_", "percentage_", "average_", "short_")
        return [self[name] for name in self.fields if name.startswith(names)]

    def clean(self) -> dict[str, Any]:
        """Check that no criterion stands twice, and that an own scheme has a name."""
        chosen = super().clean() or self.cleaned_data
        seen: set[str] = set()
        for place in range(self.places):
            code = chosen.get(f"order_{place}")
            if code and code in seen:
                self.add_error(f"order_{place}", _("This criterion stands above already."))
            seen.add(code or "")
        if chosen.get("scheme") == OWN and not chosen.get("own_name"):
            self.add_error("own_name", _("An own scheme needs a name."))
        return chosen

    def written(self) -> dict[str, Any]:
        """Return the settings as `PATCH competitions/<id>/` takes them."""
        chosen = self.cleaned_data
        return {name: chosen[name] for name in PLAIN} | {
            "order": [code for at in range(self.places) if (code := chosen[f"order_{at}"])],
            "counts": {outcome: chosen[f"counts_{outcome}"] for outcome in CHOSEN},
            "points_scheme": self._scheme(),
            "prizes": [
                {"name": name, "least_innings": chosen[f"least_{name}"] or 1}
                for name in PRIZES
                if chosen[f"prize_{name}"]
            ],
        }

    def _scheme(self) -> Any:
        code = self.cleaned_data["scheme"]
        if code == KEPT and self.regulations.points_scheme is not None:
            return self.regulations.points_scheme.to_json()
        return _own_scheme(self.cleaned_data) if code == OWN else code or None


def _own_scheme(chosen: dict[str, Any]) -> dict[str, Any]:
    """Return the scheme that was written; a part whose first number is empty is left out."""
    scheme: dict[str, Any] = {
        "code": OWN,
        "name": chosen["own_name"],
        "source": chosen["own_source"] or gettext("the club's own"),
        **{name: chosen[f"own_{name}"] or 0 for name in SCORED},
    }
    if chosen["percentage_of"]:
        scheme["percentage"] = {
            "of": chosen["percentage_of"],
            "decimals": chosen["percentage_decimals"] or 0,
            "for": chosen["percentage_for"] or list(SCORED),
        }
    if any(chosen[f"average_{name}"] for name in SCORED):
        scheme["own_average"] = {name: chosen[f"average_{name}"] or 0 for name in SCORED} | {
            "compare": chosen["average_compare"] or COMPARISONS[0],
            "decimals": 3 if chosen["average_decimals"] is None else chosen["average_decimals"],
        }
    if chosen["short_below"]:
        scheme["short"] = {
            "below": chosen["short_below"],
            "points": chosen["short_points"] or 0,
            "for": chosen["short_for"] or list(SCORED),
        }
    return scheme


def _initial(regulations: Regulations) -> dict[str, Any]:
    told: dict[str, Any] = {name: getattr(regulations, name) for name in PLAIN}
    told |= {f"order_{at}": code for at, code in enumerate(regulations.order)}
    told |= {f"counts_{outcome}": regulations.counts[outcome] for outcome in CHOSEN}
    for rule in regulations.prizes:
        told |= {f"prize_{rule.name}": True, f"least_{rule.name}": rule.least_innings}
    scheme = regulations.points_scheme
    if scheme is not None:
        ships = SCHEMES.get(scheme.code) == scheme
        told |= {"scheme": scheme.code if ships else KEPT} | _scheme_fields(scheme)
    return told


def _scheme_fields(scheme: Scheme) -> dict[str, Any]:
    """Return a scheme as the fields of an own one, so that it can be started from."""
    told: dict[str, Any] = {"own_name": scheme.name, "own_source": scheme.source}
    told |= {f"own_{name}": getattr(scheme, name) for name in SCORED}
    for part, prefix in (
        (scheme.percentage, "percentage"),
        (scheme.own_average, "average"),
        (scheme.short, "short"),
    ):
        for name, value in vars(part).items() if part is not None else ():
            told[f"{prefix}_{'for' if name == 'outcomes' else name}"] = (
                list(value) if isinstance(value, tuple) else value
            )
    return told


@require_http_methods(["GET", "HEAD", "POST"])
@page
def competition_regulations(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Choose how a competition is ranked; the standings are added up anew at once."""
    found = competition_or_404(actor, pk, "manage")
    regulations = Regulations.stored(found.regulations)
    form = RegulationsForm(request.POST if request.method == "POST" else None, regulations=regulations)
    if request.method == "POST" and form.is_valid():
        try:
            do_write_competition(found, {"regulations": form.written()})
        except Malformed as refusal:
            add_reason(form, _where(refusal.field), refusal)
        except Refused as refusal:
            form.add_error(None, speak(refusal.reason))
        else:
            return redirect("competition-standings", pk=pk)
    context = {
        "competition": found,
        "form": form,
        "schemes": [{"name": gettext(one.name), "source": gettext(one.source)} for one in SCHEMES.values()],
    }
    return render(request, "scoring/competition_regulations.html", context)


def _where(field: str) -> str | None:
    """Return the field of the form that a refused setting stands in."""
    last = field.rsplit(".", 1)[-1]
    if field.startswith("points."):
        return {"percentage": "percentage_of", "own_average": "average_win", "short": "short_below"}.get(
            field.split(".")[1], f"own_{last}"
        )
    return f"order_{last}" if field.startswith("regulations.order.") else last
