"""Many rows at once: keys reserved beforehand, so that rows are made while nobody waits, then stored quickly."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from django.db import connection, models, transaction

# Columns whose values both databases take as they are.
_PLAIN = (models.IntegerField, models.BooleanField, models.CharField, models.TextField, models.ForeignKey)
A_PART = 2000

Values = list[Any]


def reserve_keys(model: type[models.Model], count: int) -> list[int]:
    """Return `count` keys that no other row of a model will ever have; they count up, perhaps with gaps."""
    if not count:
        return []
    table, column = model._meta.db_table, model._meta.pk.column
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            # The table in which SQLite counts the keys it gave; it may be written like any other.
            cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
            row = cursor.fetchone()
            last = 0 if row is None else row[0]
            if row is None:
                cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, count])
            else:
                cursor.execute("UPDATE sqlite_sequence SET seq = %s WHERE name = %s", [last + count, table])
            return list(range(last + 1, last + count + 1))
        cursor.execute(
            "SELECT nextval(pg_get_serial_sequence(%s, %s)) FROM generate_series(1, %s)",
            [connection.ops.quote_name(table), column, count],
        )
        return sorted(key for (key,) in cursor.fetchall())


class Rows:
    """Rows of one model as the database takes them; a row without a key is given one when it is stored."""

    def __init__(self, model: type[models.Model]) -> None:
        self.model = model
        own = model._meta.concrete_fields
        counted = [one for one in own if isinstance(one, models.AutoField)]
        self._key = counted[0].attname if counted else None
        self._fields = [one for one in own if one not in counted]
        self._keyed = [*self._fields, *counted]
        self._columns = [(one.attname, one.get_default, _preparing(one)) for one in self._fields]
        self._without_key: list[Values] = []
        self._with_key: list[Values] = []

    def add(self, made: Iterable[models.Model]) -> None:
        """Take rows that were made and not saved."""
        self.add_columns(row.__dict__ for row in made)

    def add_columns(self, made: Iterable[Mapping[str, Any]]) -> None:
        """Take rows as their columns by name; those without a default are all there, the key perhaps not."""
        own = self._columns
        for told in made:
            values = [
                (told[name] if name in told else default()) if ready is None else ready(told[name])
                for name, default, ready in own
            ]
            key = told.get(self._key) if self._key else None
            if key is None:
                self._without_key.append(values)
            else:
                self._with_key.append([*values, key])

    def __len__(self) -> int:
        return len(self._without_key) + len(self._with_key)

    def store(self) -> None:
        """Insert them, inside the transaction of whoever calls."""
        self._insert(self._fields, self._without_key)
        self._insert(self._keyed, self._with_key)

    def _insert(self, fields: Sequence[models.Field], values: Sequence[Values]) -> None:
        if not values:
            return
        quote = connection.ops.quote_name
        columns = ", ".join(quote(one.column) for one in fields)
        places = ", ".join(["%s"] * len(fields))
        told = f"INSERT INTO {quote(self.model._meta.db_table)} ({columns}) VALUES ({places})"
        with connection.cursor() as cursor:
            for begin in range(0, len(values), A_PART):
                cursor.executemany(told, values[begin : begin + A_PART])


def _preparing(field: models.Field) -> Callable[[Any], Any] | None:
    """Return what makes a column's value ready for the database; None: it is ready."""
    if isinstance(field, _PLAIN):
        return None
    if isinstance(field, models.JSONField):
        return _json_preparing(field)

    def ready(value: Any) -> Any:
        return field.get_db_prep_save(value, connection)

    # A sheet has one or two moments, told in every row of it.
    return lru_cache(1000)(ready) if isinstance(field, models.DateTimeField) else ready


def _json_preparing(field: models.JSONField) -> Callable[[Any], Any]:
    """Return what makes JSON ready; the same object twice running, as regulations are, is made ready once."""
    adapt, encoder = connection.ops.adapt_json_value, field.encoder
    last: Any = None
    last_ready: Any = None

    def ready(value: Any) -> Any:
        nonlocal last, last_ready
        if value is None:
            return None
        if value is not last:
            last, last_ready = value, adapt(value, encoder)
        return last_ready

    return ready
