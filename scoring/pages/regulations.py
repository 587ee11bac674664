"""The regulations in force: disciplines, rule sets, formats and clocks, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.formats import number_format
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import Club, OwnDiscipline, OwnRuleSet
from scoring.rules.clock import CLOCKS, Clock
from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.formats import FORMATS
from scoring.rules.rulesets import DEFAULT, RULE_SETS, RuleSet, settings

from .gate import may, page
from .words import speak

# Codes of settings, in words; some codes mean the same wherever they stand.
CODES = {
    "foul": _("a foul"),
    "uncounted": _("a contact that does not count"),
    "lag": _("the lag"),
    "draw": _("a draw"),
    "home": _("the home side"),
    "opening": _("from the opening position"),
    "as-they-lie": _("from where the balls lie"),
    "nobody": _("nobody"),
    "referee": _("the referee"),
    "referee-and-scorekeeper": _("the referee and the scorekeeper"),
    "anybody": _("anybody"),
    "only-those": _("only the balls that left are spotted"),
    "all-to-opening": _("all three to the opening position"),
    "only-those-on-request": _("only the frozen balls, if the player asks"),
    "all-to-opening-on-request": _("all three to the opening position, if the player asks"),
    "truncate": _("truncated"),
    "half-up": _("rounded, half up"),
    "automatic": _("used when the time is up"),
    "called": _("called by the player"),
}


def value_words(name: str, value: Any) -> str:
    """Return the value of a setting in words."""
    if value is True:
        return gettext("yes")
    if value is False:
        return gettext("no")
    if name == "starting_spot_tenths_mm":
        return gettext("%(length)s mm") % {"length": number_format(value / 10, 1)}
    return str(CODES.get(value, value))


def rule_set_rows(rule_set: RuleSet) -> list[dict[str, Any]]:
    """Return the settings of a rule set, in the order of a match, as the page lists them."""
    world = RULE_SETS[DEFAULT]
    rows = []
    for one in settings():
        value = getattr(rule_set, one.name)
        rows.append(
            {
                "meaning": speak(one.meaning),
                "value": value_words(one.name, value),
                "source": speak(one.source),
                "differs": value != getattr(world, one.name),
            }
        )
    return rows


def format_words(fields: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return (what, value) of the fields of a format that are there, in words."""
    rows = [(gettext("Distance"), _distance(fields["distance"]))] if "distance" in fields else []
    if "equalizing" in fields:
        rows.append((gettext("Equalizing inning"), _equalizing(fields)))
    if fields.get("innings_limit"):
        limit = fields["innings_limit"]
        rows.append((gettext("Limit"), ngettext("%(n)s inning", "%(n)s innings", limit) % {"n": limit}))
    if fields.get("sets_to_win"):
        rows.append((gettext("Sets to win"), str(fields["sets_to_win"])))
    if fields.get("shot_seconds"):
        rows.append((gettext("Shot clock"), _seconds(fields["shot_seconds"], fields.get("warning_seconds"))))
    if fields.get("timeouts"):
        rows.append((gettext("Time-outs"), _timeouts(fields)))
    if fields.get("average_decimals") is not None:
        cut = {
            "n": fields["average_decimals"],
            "how": CODES.get(fields.get("average_rounding") or "truncate"),
        }
        rows.append((gettext("Average"), gettext("%(n)s decimals, %(how)s") % cut))
    return rows


def _distance(distance: Any) -> str:
    first, second = distance or (None, None)
    if first is None and second is None:
        return gettext("none")
    if first == second:
        return ngettext("%(n)s point", "%(n)s points", first) % {"n": first}
    none = gettext("none")
    return gettext("%(first)s and %(second)s") % {"first": first or none, "second": second or none}


def _equalizing(fields: Mapping[str, Any]) -> str:
    if not fields["equalizing"]:
        return gettext("no")
    where = CODES.get(fields.get("equalizing_from") or "")
    return gettext("yes, %(where)s") % {"where": where} if where else gettext("yes")


def _seconds(seconds: int, warning: int | None) -> str:
    if warning is None:
        return gettext("%(seconds)s s a stroke") % {"seconds": seconds}
    return gettext("%(seconds)s s a stroke, warning after %(warning)s s") % {
        "seconds": seconds,
        "warning": warning,
    }


def _timeouts(fields: Mapping[str, Any]) -> str:
    said = ngettext("%(n)s a player", "%(n)s a player", fields["timeouts"]) % {"n": fields["timeouts"]}
    if fields.get("timeout_seconds"):
        said += ", " + gettext("%(seconds)s s each") % {"seconds": fields["timeout_seconds"]}
    mode = CODES.get(fields.get("timeout_mode") or "")
    return f"{said}, {mode}" if mode else said


def discipline_words(game: Discipline) -> list[tuple[str, str]]:
    """Return (what, value) of a discipline, in words."""
    run = game.implausible_run
    rows = [
        (gettext("Cushions a point needs"), str(game.required_cushions)),
        (gettext("Red first at the opening"), value_words("", game.red_first_at_opening)),
        (gettext("A ball off the table"), value_words("", game.off_table)),
        (gettext("A frozen ball"), value_words("", game.frozen)),
        (
            gettext("Announced are the last"),
            _distance((game.announce_last,) * 2) if game.announce_last else "–",
        ),
    ]
    if run is not None:
        rows.append((gettext("A run is asked about above"), str(run)))
    return rows + format_words(game.default_format)


def clock_words(clock: Clock) -> list[tuple[str, str]]:
    """Return (what, value) of a clock, in words."""
    counts = []
    for most, count in clock.timeouts:
        words = {"n": count, "most": most}
        if most is None:
            counts.append(
                gettext("%(n)s otherwise") % words
                if len(clock.timeouts) > 1
                else gettext("%(n)s a player") % words
            )
        else:
            counts.append(gettext("%(n)s in matches to %(most)s") % words)
    length = gettext("%(seconds)s s each") % {"seconds": clock.timeout_seconds}
    return [
        (gettext("Shot clock"), _seconds(clock.seconds, clock.warning)),
        (gettext("Time-outs"), ", ".join([*counts, length, str(CODES[clock.mode])])),
    ]


@require_safe
@page
def regulations(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show what ships and what the club added."""
    club = Club.objects.the_first()
    own_games = OwnDiscipline.objects.filter(club=club).order_by("pk")
    own_sets = OwnRuleSet.objects.filter(club=club).order_by("pk")
    games = [(one, None) for one in DISCIPLINES.values()]
    games += [(Discipline.from_json(row.data), row.pk) for row in own_games]
    sets = [(one, None) for one in RULE_SETS.values()]
    sets += [(RuleSet.from_json(row.data), row.pk) for row in own_sets]
    context = {
        "disciplines": [
            {"code": one.code, "name": speak(one.name), "rows": discipline_words(one), "own": pk}
            for one, pk in games
        ],
        "rule_sets": [_show_rule_set(one, pk) for one, pk in sets],
        "formats": [
            {
                "name": speak(one.name),
                "rows": format_words(one.fields),
                "source": one.source,
                "since": one.since,
            }
            for one in FORMATS.values()
        ],
        "clocks": [
            {"name": speak(one.name), "rows": clock_words(one), "source": one.source, "since": one.since}
            for one in CLOCKS.values()
        ],
        "may_change": may(actor, "rule-set-new"),
    }
    return render(request, "scoring/regulations.html", context)


def _show_rule_set(rule_set: RuleSet, own: int | None) -> dict[str, Any]:
    rows = rule_set_rows(rule_set)
    return {
        "code": rule_set.code,
        "name": speak(rule_set.name),
        "since": rule_set.since,
        "rows": rows,
        "differing": sum(row["differs"] for row in rows),
        "default": rule_set.code == DEFAULT,
        "own": own,
    }
