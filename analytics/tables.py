"""Which table a question is about: a table of the club, a preset of its size, changed values."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from django.db.models import Prefetch, QuerySet

from analytics.models import MeasuredSet
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
    table. A table of the club gives the preset of its size, then what was measured of it if
    that is in use, then its own overrides; those asked for come last. Raises Malformed (`table`, `table.id`, `table.overrides.radius`).
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


def parameters_of(table: PlayTable, before: datetime.datetime | None = None) -> TableParameters:
    """Return the parameters of a table of the club. Raises Malformed (`table`).

    before : a set that was measured later than this is passed over.
    """
    return _of_row(table, {}, before)


def unmeasured_parameters(table: PlayTable) -> TableParameters:
    """Return the parameters of a table as if nothing had been measured. Raises Malformed (`table`)."""
    return _of_row(table, {}, measured=False)


def play_tables() -> QuerySet[PlayTable]:
    """Return the tables of the club with the set that each plays by: two questions for them all."""
    in_use = MeasuredSet.objects.filter(in_use=True)
    return PlayTable.objects.prefetch_related(Prefetch("measured_sets", in_use, to_attr="sets_in_use"))


def set_in_use(table: PlayTable) -> MeasuredSet | None:
    """Return the measured set that a table plays by; asks nothing of a row of `play_tables`."""
    if not hasattr(table, "sets_in_use"):
        table.sets_in_use = list(MeasuredSet.objects.filter(table=table, in_use=True))
    return table.sets_in_use[0] if table.sets_in_use else None


def find_set_in_use(asked: Any) -> MeasuredSet | None:
    """Return the measured set of the table that `asked` names, as for `find_table`.

    None where values were asked for that a measured table does not have.
    """
    if isinstance(asked, Mapping):
        if asked.get("overrides"):
            return None
        asked = asked.get("id")
    if not _is_id(asked) or not 0 < asked <= LARGEST_ID:
        return None
    return MeasuredSet.objects.filter(table=asked, in_use=True).first()


def shown_name(name: Any) -> str:
    """Return a name that was sent, fit to be said back."""
    return name if isinstance(name, str) and len(name) <= 40 and name.isprintable() else "?"


def _is_id(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _row(pk: int, field: str) -> PlayTable:
    # Every table is listed to everybody, so everybody may name it.
    found = play_tables().filter(pk=pk).first() if 0 < pk <= LARGEST_ID else None
    if found is None:
        raise Malformed(field, said("No table has this id. Send one from the list of tables."))
    return found


def _of_row(
    row: PlayTable,
    changes: Mapping[str, Any],
    before: datetime.datetime | None = None,
    measured: bool = True,
) -> TableParameters:
    """Return a row's preset with what was measured, the row's own overrides, then `changes`."""
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
    found = set_in_use(row) if measured else None
    values: dict[str, float] = {}
    if found is not None and found.result is not None and (before is None or found.measured_at <= before):
        values = {one["name"]: one["value"] for one in found.result["values"]}
    try:
        preset = preset.overridden({**values, **own})
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
