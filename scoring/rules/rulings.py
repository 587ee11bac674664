"""The validator: a contact sequence in, a ruling out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any

from .contacts import Contact, Course, course, instants
from .disciplines import Discipline
from .families import family_of
from .rulesets import RuleSet
from .said import Said, said


@dataclass(frozen=True)
class Ruling:
    """What the rules say of a stroke.

    cushions: counted before the second object ball, or all that counted if it was not met.
    reason: in the words a referee announces. rule: the rule in our own words, with its source.
    family: None where the second object ball was not met. foul: a code of `fouls`, or None.
    """

    valid: bool
    cushions: int
    required: int
    reason: Said
    rule: Said
    family: str | None
    foul: str | None = None

    def to_json(self, translate: Callable[[str], str] = lambda text: text) -> dict[str, Any]:
        """Return the ruling as JSON values, its sentences in the language of `translate`."""
        return {
            "valid": self.valid,
            "cushions": self.cushions,
            "required": self.required,
            "reason": self.reason.into(translate),
            "rule": self.rule.into(translate),
            "family": self.family,
            "foul": self.foul,
        }


def rule(
    discipline: Discipline,
    cue_ball: str,
    contacts: Sequence[Contact],
    *,
    opening: bool = False,
    touching_rail: str | Collection[str] | None = None,
    touching_ball: str | Collection[str] | None = None,
    off_table: str | Collection[str] | None = (),
    rule_set: RuleSet,
) -> Ruling:
    """Judge a stroke by its contacts (as `parse_contacts` gives them).

    opening: played from the opening position. touching_rail, touching_ball: what the cue ball
    lay against before the stroke (one or several). off_table: balls that left the table.
    """
    rails, balls, off = _names(touching_rail), _names(touching_ball), _names(off_table)
    into_rail = _leaves_into_rail(contacts, rails)
    if into_rail and rule_set.rail_frozen == "uncounted":
        contacts = _without_first_impact(contacts, rails)
    way = course(contacts)
    cushions = len(way.before) + len(way.after)
    foul: str | None = None
    if off:
        foul, (valid, reason, text) = "outside", _OFF_TABLE
    elif _leaves_into_ball(contacts, balls):
        foul, (valid, reason, text) = "ball-in-contact", _INTO_BALL
    elif into_rail and rule_set.rail_frozen == "foul":
        foul, (valid, reason, text) = "ball-in-contact", _INTO_RAIL
    else:
        against = _opening(discipline, way, rule_set) if opening else None
        valid, reason, text = against or _count(discipline.required_cushions, cushions, way)
    return Ruling(
        valid=valid,
        cushions=cushions,
        required=discipline.required_cushions,
        reason=reason,
        rule=text,
        family=family_of(discipline, cue_ball, contacts),
        foul=foul,
    )


Finding = tuple[bool, Said, Said]

_OFF_TABLE: Finding = (
    False,
    said("a ball left the table"),
    said(
        "A stroke that drives a ball off the table makes no point and ends the inning (four national texts)."
    ),
)
_INTO_BALL: Finding = (
    False,
    said("played into the ball in contact"),
    said(
        "A cue ball that lies against a ball is played away from it, or by a massé, or spotted on request;"
        " meeting that ball first is a foul (two national tournament texts)."
    ),
)
_INTO_RAIL: Finding = (
    False,
    said("played into the cushion in contact"),
    said(
        "A cue ball that lies against a cushion is not played straight into it, a massé excepted"
        " (World rules of carom billiard, 4.1.8)."
    ),
)
_RED_FIRST = said(
    "From the opening position the red is the first ball to be met, with no cushion before it"
    " (World rules of carom billiard, art. 23)."
)
_RED_FIRST_ANYHOW = said(
    "From the opening position the red is the first ball to be met; a cushion may come before it"
    " (a Danish club's rules)."
)
_COUNT_RULES = {
    0: said("The cue ball must touch both object balls; no cushion is needed (national federation pages)."),
    1: said(
        "The cue ball must touch both object balls and meet at least one cushion before it first touches"
        " the second, whether before or after the first (national federation pages)."
    ),
    3: said(
        "The cue ball must touch both object balls and make three or more cushion impacts before it first"
        " touches the second (USBA three-cushion rules, rev. 6 Apr 2009, rule 2)."
    ),
}
_MADE = {
    0: said("no cushion"),
    1: said("one cushion"),
    2: said("two cushions"),
}
_COUNTS = {
    0: said("Counts"),
    1: said("Counts: one cushion"),
    2: said("Counts: two cushions"),
}


def _count_rule(required: int) -> Said:
    return _COUNT_RULES.get(required) or said(
        "The cue ball must touch both object balls and meet at least %(required)s cushions before it first"
        " touches the second (set by the discipline).",
        required=required,
    )


def _count(required: int, cushions: int, way: Course) -> Finding:
    """Judge the count, and that both object balls were met."""
    text = _count_rule(required)
    if way.first is None:
        return False, said("no ball was met"), text
    if way.second is None:
        return False, said("the second ball was missed"), text
    if cushions < required:
        return False, _MADE.get(cushions) or said("%(cushions)s cushions", cushions=cushions), text
    return True, _COUNTS.get(cushions) or said("Counts: %(cushions)s cushions", cushions=cushions), text


def _opening(discipline: Discipline, way: Course, rule_set: RuleSet) -> Finding | None:
    """Judge what the opening stroke asks beyond the count; None where it is satisfied."""
    if not (discipline.red_first_at_opening and rule_set.opening_red_first) or way.first is None:
        return None
    text = _RED_FIRST if rule_set.opening_red_direct else _RED_FIRST_ANYHOW
    if way.first != "red" or way.both_at_once:
        return False, said("the red must be met first"), text
    if way.before and rule_set.opening_red_direct:
        return False, said("the red must be met directly, before any cushion"), text
    return None


def _names(value: str | Collection[str] | None) -> frozenset[str]:
    if value is None:
        return frozenset()
    return frozenset((value,) if isinstance(value, str) else value)


def _leaves_into_rail(contacts: Sequence[Contact], rails: Collection[str]) -> bool:
    """Tell whether the first instant is a meeting with a rail the cue ball lay against.

    A ball at that same instant is the first contact: ball before rail in a tie.
    """
    first = instants(contacts)[:1]
    return (
        bool(first) and not any(one.ball for one in first[0]) and any(one.rail in rails for one in first[0])
    )


def _without_first_impact(contacts: Sequence[Contact], rails: Collection[str]) -> list[Contact]:
    """Drop the rails lain against from the first instant; what it was tied with still counts."""
    head, *rest = instants(contacts)
    kept = [one for one in head if one.rail not in rails]
    if kept:
        kept[0] = Contact(ball=kept[0].ball, rail=kept[0].rail)
    return kept + [one for group in rest for one in group]


def _leaves_into_ball(contacts: Sequence[Contact], balls: Collection[str]) -> bool:
    """Tell whether the first instant is a meeting with a ball the cue ball lay against."""
    first = instants(contacts)[:1]
    return bool(first) and any(one.ball in balls for one in first[0] if one.ball)
