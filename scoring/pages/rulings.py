"""Was it a point? Tap a sequence, read the ruling and the rule.

Everything stands in the query string, so an address is a ruling to keep; without a
script each tap asks the server, which answers with the same ruling.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from scoring.access import Actor
from scoring.models import Club
from scoring.regulations import disciplines_of, rule_sets_of
from scoring.rules.contacts import BALLS, CUE_BALLS, MOST_CONTACTS, RAILS, Contact
from scoring.rules.families import FAMILIES
from scoring.rules.rulesets import DEFAULT
from scoring.rules.rulings import Ruling, rule

from .gate import page
from .words import ball_name, contact_words, family_name, rail_name, speak

# A stroke that may still become a point: the second ball was not met yet.
UNDER_WAY = {"no ball was met", "the second ball was missed"}


@dataclass
class Asked:
    """A stroke as the query string tells it; what it cannot say is left out."""

    discipline: str
    rule_set: str
    cue: str
    contacts: list[Contact] = field(default_factory=list)
    opening: bool = False
    rail: str = ""
    ball: str = ""
    off: list[str] = field(default_factory=list)

    def query(self) -> str:
        """Return the query string that asks the same again."""
        parts: dict[str, str] = {"discipline": self.discipline, "rules": self.rule_set, "cue": self.cue}
        if self.contacts:
            parts["contacts"] = written(self.contacts)
        if self.opening:
            parts["opening"] = "1"
        for name, value in (("rail", self.rail), ("ball", self.ball), ("off", ",".join(self.off))):
            if value:
                parts[name] = value
        return urlencode(parts)


def written(contacts: list[Contact]) -> str:
    """Return contacts as text: "red,left,=yellow"; an equals sign is a tie with the one before."""
    return ",".join(("=" if one.tie else "") + (one.ball or one.rail or "") for one in contacts)


def read(text: str, cue: str) -> list[Contact]:
    """Return the contacts of a text; what is no contact is passed over."""
    found: list[Contact] = []
    for word in text[:4000].replace(" ", ",").lower().split(","):
        tie, name = word.startswith("=") and bool(found), word.strip("=")
        if name in RAILS:
            found.append(Contact(rail=name, tie=tie))
        elif name in BALLS and name != cue:
            found.append(Contact(ball=name, tie=tie))
    return found[:MOST_CONTACTS]


def asked_of(query: QueryDict, disciplines: dict[str, Any], rule_sets: dict[str, Any]) -> Asked:
    """Return what a query string asks; unknown words fall back to the usual."""

    def one_of(name: str, choices: Any, default: str) -> str:
        value = query.get(name, "")
        return value if value in choices else default

    cue = one_of("cue", CUE_BALLS, "white")
    contacts = read(query.get("contacts", ""), cue)
    add = query.get("add", "")
    if add:
        contacts = read(f"{written(contacts)},{'=' if query.get('tie') else ''}{add}", cue)
    if query.get("take") and contacts:
        contacts = contacts[:-1]
    others = [ball for ball in BALLS if ball != cue]
    # Boxes send a name each, a kept address one text.
    off = ",".join(query.getlist("off")).split(",")
    return Asked(
        discipline=one_of("discipline", disciplines, "three-cushion"),
        rule_set=one_of("rules", rule_sets, DEFAULT),
        cue=cue,
        contacts=[] if query.get("clear") else contacts,
        opening=query.get("opening") == "1",
        rail=one_of("rail", RAILS, ""),
        ball=one_of("ball", others, ""),
        off=[ball for ball in BALLS if ball in off],
    )


@require_safe
@page
def rulings(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Judge the stroke of the query string and offer to go on."""
    club = Club.objects.the_first()
    disciplines, rule_sets = disciplines_of(club), rule_sets_of(club)
    asked = asked_of(request.GET, disciplines, rule_sets)
    if any(request.GET.get(name) for name in ("add", "take", "clear")):
        return redirect(f"{reverse('rulings')}?{asked.query()}")
    ruling = rule(
        disciplines[asked.discipline],
        asked.cue,
        asked.contacts,
        opening=asked.opening,
        touching_rail=asked.rail or None,
        touching_ball=asked.ball or None,
        off_table=asked.off,
        rule_set=rule_sets[asked.rule_set],
    )
    upper, lower = [ball for ball in BALLS if ball != asked.cue]
    context = {
        "asked": asked,
        "written": written(asked.contacts),
        "contacts": contact_words([_plain(one) for one in asked.contacts]),
        "verdict": verdict(ruling, asked),
        "disciplines": [(code, gettext(one.name)) for code, one in disciplines.items()],
        "rule_sets": [(code, gettext(one.name)) for code, one in rule_sets.items()],
        "cue_balls": [(code, ball_name(code)) for code in CUE_BALLS],
        "rails": [(code, rail_name(code)) for code in RAILS],
        "balls": [(code, ball_name(code)) for code in BALLS],
        "upper": (upper, ball_name(upper)),
        "lower": (lower, ball_name(lower)),
        "cue_name": ball_name(asked.cue),
        "rulings_data": {
            "disciplines": {code: one.to_json() for code, one in disciplines.items()},
            "rule_sets": {code: one.to_json() for code, one in rule_sets.items()},
            "families": {code: _sentence(family_name(code)) for code in FAMILIES},
        },
    }
    return render(request, "scoring/rulings.html", context)


def _plain(one: Contact) -> dict[str, Any]:
    return {"ball": one.ball, "rail": one.rail, "tie": one.tie}


def verdict(ruling: Ruling, asked: Asked) -> dict[str, str]:
    """Return the ruling for a reader: kind (counts, short, no, open), head, why, rule, family."""
    reason = speak(ruling.reason)
    kind, why = "no", _sentence(reason)
    pending = ruling.foul is None and ruling.reason.template in UNDER_WAY
    if ruling.valid:
        kind, head, why = "counts", counted(ruling.cushions), needed(ruling.required)
    elif pending and not asked.contacts:
        kind, head, why = "open", gettext("Nothing met yet"), gettext("Tap what the cue ball met, in order.")
    elif pending:
        kind, head, why = "short", so_far(ruling), gettext("As it stands, %(reason)s.") % {"reason": reason}
    elif ruling.foul is None and ruling.cushions < ruling.required:
        head = gettext("Does not count: %(made)s of %(required)s") % {
            "made": ruling.cushions,
            "required": ruling.required,
        }
    else:
        head = gettext("A foul") if ruling.foul else gettext("Does not count")
    return {
        "kind": kind,
        "head": head,
        "why": why,
        "rule": speak(ruling.rule),
        "family": _sentence(family_name(ruling.family)),
    }


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def counted(cushions: int) -> str:
    """Return "Counts: 3 cushions"; without cushions the bare word."""
    if not cushions:
        return gettext("Counts")
    return ngettext("Counts: %(count)s cushion", "Counts: %(count)s cushions", cushions) % {"count": cushions}


def needed(required: int) -> str:
    """Return what was needed."""
    if not required:
        return gettext("Both balls were met; no cushion is needed.")
    return gettext("%(required)s needed before the second ball.") % {"required": required}


def so_far(ruling: Ruling) -> str:
    """Return "2 cushions so far, 1 more needed"."""
    made = ngettext("%(count)s cushion so far", "%(count)s cushions so far", ruling.cushions) % {
        "count": ruling.cushions
    }
    missing = ruling.required - ruling.cushions
    if missing > 0:
        return gettext("%(made)s, %(missing)s more needed") % {"made": made, "missing": missing}
    return gettext("%(made)s, a ball still to be met") % {"made": made}
