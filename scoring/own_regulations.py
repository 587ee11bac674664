"""Writing a club's own rule sets and disciplines.

A match and a competition hold copies of what they were opened with, so nothing that is
written here reaches them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction

from scoring.models import Club, OwnDiscipline, OwnRuleSet
from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.reading import a_code
from scoring.rules.rulesets import RULE_SETS, RuleSet
from scoring.rules.said import Malformed, said


def do_add_rule_set(club: Club, data: Mapping[str, Any]) -> OwnRuleSet:
    """Add a rule set: `preset`, `code`, `name`, `since` and the settings that differ.

    Raises Malformed with the field (`rule_set.code`).
    """
    code = _free_code(data.get("code"), "rule_set.code", RULE_SETS)
    own = RuleSet.from_json(dict(data))
    return _add(OwnRuleSet(club=club, code=code, data=own.to_json()), "rule_set.code")


def do_change_rule_set(row: OwnRuleSet, data: Mapping[str, Any]) -> OwnRuleSet:
    """Change settings of an own rule set; its code stays. Raises Malformed with the field."""
    row.data = RuleSet.from_json(row.data | dict(data) | {"code": row.code}).to_json()
    row.save(update_fields=["data"])
    return row


def do_add_discipline(club: Club, data: Mapping[str, Any]) -> OwnDiscipline:
    """Add a discipline in the shape of the presets. Raises Malformed (`discipline.code`)."""
    code = _free_code(data.get("code"), "discipline.code", DISCIPLINES)
    own = Discipline.from_json(dict(data))
    return _add(OwnDiscipline(club=club, code=code, data=own.to_json()), "discipline.code")


def do_change_discipline(row: OwnDiscipline, data: Mapping[str, Any]) -> OwnDiscipline:
    """Change an own discipline; its code stays. Raises Malformed with the field.

    The shot families stay unless the required cushions change.
    """
    merged = row.data | dict(data) | {"code": row.code}
    if merged["required_cushions"] != row.data.get("required_cushions"):
        merged.pop("families", None)
    row.data = Discipline.from_json(merged).to_json()
    row.save(update_fields=["data"])
    return row


def _free_code(value: Any, field: str, presets: Mapping[str, Any]) -> str:
    code = a_code(value, field)
    if code in presets:
        raise Malformed(field, said("This code ships with the program; choose another one."))
    return code


def _add(row: Any, field: str) -> Any:
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        raise Malformed(field, said("The club has one of this code already; choose another one.")) from None
    return row
