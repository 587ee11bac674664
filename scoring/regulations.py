"""Finding the regulations of a club: the presets that ship, and the club's own."""

from __future__ import annotations

from typing import Any

from scoring.models import Club, OwnDiscipline, OwnRuleSet
from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.rulesets import RULE_SETS, RuleSet
from scoring.rules.said import Malformed, said


def disciplines_of(club: Club) -> dict[str, Discipline]:
    """Return every discipline by code; a club's own may not hide a preset."""
    rows = OwnDiscipline.objects.filter(club=club)
    return {row.code: Discipline.from_json(row.data) for row in rows} | dict(DISCIPLINES)


def find_discipline(club: Club, code: Any) -> Discipline:
    """Return the discipline of a code. Raises Malformed (`discipline`)."""
    if isinstance(code, str) and code in DISCIPLINES:
        return DISCIPLINES[code]
    known = disciplines_of(club)
    if not isinstance(code, str) or code not in known:
        raise Malformed(
            "discipline", said("one of these is needed here: %(choices)s", choices=", ".join(known))
        )
    return known[code]


def rule_sets_of(club: Club) -> dict[str, RuleSet]:
    """Return every rule set by code; a club's own may not hide a preset."""
    rows = OwnRuleSet.objects.filter(club=club)
    return {row.code: RuleSet.from_json(row.data) for row in rows} | dict(RULE_SETS)


def find_rule_set(club: Club, value: Any) -> RuleSet:
    """Return a rule set: by the code of a preset or of the club's own, or from its settings.

    None is the default. Raises Malformed (`rule_set`, `rule_set.rail_frozen`).
    """
    if isinstance(value, str) and value not in RULE_SETS:
        rows = OwnRuleSet.objects.filter(club=club)
        own = {row.code: row.data for row in rows}
        value = own.get(value, value)
    return RuleSet.from_json(value)
