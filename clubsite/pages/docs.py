"""Documentation for players and referees; the texts stand in clubsite/docs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.pages.gate import page
from scoring.pages.words import speak
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS
from scoring.rules.handicaps import METHODS

# Measured once with `tests/benchmarks/aiming.py` and its like: strokes, loss of the best line, groups.
WAYS_TRIED = (
    (_("4,096 strokes all over, one plan a group climbs"), "15,100", "0.080", "63 %"),
    (_("8,192, then eight plans a group ranked by 16 errors"), "20,400", "0.067", "76 %"),
    (_("16,384, but four plans a group are ranked and one climbs"), "24,200", "0.087", "71 %"),
    (_("12,288, six ranked and two climb"), "22,700", "0.061", "75 %"),
    (_("32,768, sixteen ranked and three climb"), "83,300", "0.016", "83 %"),
    (_("the same, 24 ranked"), "84,600", "0.015", "83 %"),
    (_("the same, four climb"), "86,900", "0.017", "86 %"),
    (_("the same, a fourth round of climbing"), "86,200", "0.016", "83 %"),
    (_("49,152, sixteen ranked and three climb"), "102,000", "0.020", "89 %"),
    (
        _("49,152, sixteen ranked, four climb, the last chosen by half as many errors"),
        "96,800",
        "0.023",
        "88 %",
    ),
)


@require_safe
@page
def docs(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List what can be read."""
    return render(request, "docs/index.html")


@require_safe
@page
def docs_rulings(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How a described stroke is judged, by which sources, and where they differ."""
    families = [
        {"name": speak(family.trade_name), "sequence": speak(family.sequence)} for family in FAMILIES.values()
    ]
    return render(request, "docs/rulings.html", {"families": families})


@require_safe
@page
def docs_record(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How a match is written down and corrected."""
    reasons = [speak(reason) for reason in FOUL_REASONS.values()]
    return render(request, "docs/record.html", {"foul_reasons": reasons})


@require_safe
@page
def docs_keys(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The keys of the scoring page."""
    return render(request, "docs/keys.html")


@require_safe
@page
def docs_diamonds(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The diamond systems: what they are, by which sources, and where they end."""
    return render(request, "docs/diamonds.html")


@require_safe
@page
def docs_lines(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How lines are found, how a hand strays, and what a search was measured to miss."""
    from analytics.aim.lines.players import AVERAGES, MEAN_BEST

    spreads = [
        (f"{spread:g}", f"{MEAN_BEST[spread]:.2f}", f"{average:.2f}") for spread, average in AVERAGES.items()
    ]
    return render(request, "docs/lines.html", {"spreads": spreads, "ways": WAYS_TRIED})


# Measured once with `tests/benchmarks/measuring.py`: of 1,200 invented tables, how often the
# interval of 90 % held the truth, the middle half-width, and the range that truths were drawn from.
INTERVALS_TRIED = (
    (_("Liveliness of the cushion"), "90.3 %", "0.021", _("0.88 to 0.97")),
    (_("Friction of the cushion's nose"), "90.3 %", "0.008", _("0.12 to 0.24")),
    (_("How much the cloth slows a rolling ball"), "89.4 %", "0.0007", _("0.006 to 0.013")),
    (_("Side struck beyond what was asked"), "89.5 %", "0.020", _("0.03 about nought")),
    (_("Offset of the corner system, in diamonds"), "93.5 %", "", ""),
)


@require_safe
@page
def docs_own_table(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How a club measures its table, what the strokes tell, and how often the intervals hold."""
    return render(request, "docs/own-table.html", {"intervals": INTERVALS_TRIED})


@require_safe
@page
def docs_predictions(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How predictions are made and kept, and why their kinds are never added up."""
    return render(request, "docs/predictions.html")


@require_safe
@page
def docs_reports(request: HttpRequest, actor: Actor) -> HttpResponse:
    """What each figure of the reports is, and what may be said of how much."""
    return render(request, "docs/reports.html")


@require_safe
@page
def docs_practice(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How practice is written down, and who sees it."""
    return render(request, "docs/practice.html")


@require_safe
@page
def docs_competitions(request: HttpRequest, actor: Actor) -> HttpResponse:
    """How competitions are drawn, run, ranked and published."""
    rules = [{"name": gettext(one.name), "source": one.source} for one in METHODS.values()]
    return render(request, "docs/competitions.html", {"handicap_rules": rules})
