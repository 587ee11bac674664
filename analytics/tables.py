"""Which table a question is about: a table of the club, a preset of its size, changed values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from scoring.api.paging import LARGEST_ID
from scoring.models import PlayTable
from scoring.rules.said import Malformed, said

if TYPE_CHECKING:
    from analytics.table.parameters import TableParameters

# The code of a size -> the preset for a cloth that is not heated.
PRESET_OF_SIZE = {"match": "club", "230": "small-230", "210": "small-210"}


def find_table(asked: Any) -> TableParameters:
    """Return the parameters of the table that `asked` names.

    `asked` is an id, or `{id (optional), overrides (optional)}`; None is the heated match
    table. A table of the club gives the preset of its size, then its own overrides; those
    asked for come last. Raises Malformed (`table`, `table.id`, `table.overrides.radius`).
    """
    from analytics.table.parameters import PRESETS

    if asked is None:
        return PRESETS["match-heated"]
    if _is_id(asked):
        return _of_row(_row(asked, "table"), {})
    if not isinstance(asked, Mapping):
        raise Malformed("table", said("Send the id of a table, or an object with id, overrides, or both."))
    for name in asked:
        if name not in ("id", "overrides"):
            raise Malformed(f"table.{shown_name(name)}", said("Leave this out; send id, overrides, or both."))
    changes = asked.get("overrides")
    if changes is None:
        changes = {}
    if not isinstance(changes, Mapping):
        raise Malformed(
            "table.overrides", said("Send an object: names of parameters, and a number for each.")
        )
    if asked.get("id") is None:
        return _overridden(PRESETS["match-heated"], changes)
    if not _is_id(asked["id"]):
        raise Malformed("table.id", said("Send an id: a whole number."))
    return _of_row(_row(asked["id"], "table.id"), changes)


def parameters_of(table: PlayTable) -> TableParameters:
    """Return the parameters of a table of the club. Raises Malformed (`table`)."""
    return _of_row(table, {})


def shown_name(name: Any) -> str:
    """Return a name that was sent, fit to be said back."""
    return name if isinstance(name, str) and len(name) <= 40 and name.isprintable() else "?"


def _is_id(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _row(pk: int, field: str) -> PlayTable:
    # Every table is listed to everybody, so everybody may name it.
    found = PlayTable.objects.filter(pk=pk).first() if 0 < pk <= LARGEST_ID else None
    if found is None:
        raise Malformed(field, said("No table has this id. Send one from the list of tables."))
    return found


def _of_row(row: PlayTable, changes: Mapping[str, Any]) -> TableParameters:
    """Return a row's preset with the row's own overrides, then `changes`."""
    from analytics.table.parameters import PRESETS

    own = row.overrides if isinstance(row.overrides, Mapping) else {}
    heated = PRESETS["match-heated"]
    if row.size in PRESET_OF_SIZE:
        preset = PRESETS[PRESET_OF_SIZE[row.size]]
    elif {"table_length", "table_width"} <= {*own, *changes}:
        preset = PRESETS["club"]
    else:
        raise Malformed(
            "table",
            said("The size of this table is not known. Send table_length and table_width as overrides."),
        )
    if row.heated:
        preset = preset.overridden({"cloth_rolling_friction": heated.cloth_rolling_friction})
    try:
        preset = preset.overridden(own)
    except Malformed as fault:
        raise Malformed(
            "table",
            said(
                "The values kept with this table cannot be used; an organiser mends them. %(name)s: %(why)s",
                name=fault.field,
                why=fault.reason,
            ),
        ) from None
    return _overridden(preset, changes)


def _overridden(preset: TableParameters, changes: Mapping[str, Any]) -> TableParameters:
    try:
        return preset.overridden(changes)
    except Malformed as fault:
        raise Malformed(f"table.overrides.{shown_name(fault.field)}", fault.reason) from None
