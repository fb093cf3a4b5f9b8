"""Questions whose SQL is written once in a process, for what every press of a button asks.

Writing a question takes Django several times as long as the database takes to answer it.
Where hundreds press at once that is most of the wait. Not for questions that are asked
now and then: those are plainer as they are.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import QuerySet

Value = int | str | tuple[int, ...]
_FIRST_MARK = 2_147_480_000  # as large as a column of whole numbers takes: no row has them


@dataclass(frozen=True, slots=True)
class _Written:
    """A question as the database is asked it, and how its answers are read."""

    sql: str
    constants: tuple[Any, ...]
    places: tuple[int | None, ...]  # which of the values stands there; None for a constant
    read: Callable[[list[tuple[Any, ...]]], list[tuple[Any, ...]]]


class WrittenQuery:
    """A question that is written when first asked, and asked again with other values.

    `write` is handed marks in place of the values and returns a `values_list`; a value is
    a number, a short word, or numbers for an `__in`. It may do nothing with a value but
    hand it on to a filter.
    """

    def __init__(self, write: Callable[..., QuerySet[Any, Any]]) -> None:
        self._write = write
        self._written: dict[tuple[str, tuple[int | str, ...]], _Written] = {}

    def ask(self, *values: Value) -> list[tuple[Any, ...]]:
        """Return the rows for these values; none where an `__in` has nothing to choose from."""
        if () in values:
            return []
        padded = tuple(_pad(value) if isinstance(value, tuple) else value for value in values)
        key = (connection.vendor, tuple(map(_shape, padded)))
        written = self._written.get(key) or self._keep(key, padded)
        flat = [one for value in padded for one in _list(value)]
        asked = [
            constant if place is None else flat[place]
            for constant, place in zip(written.constants, written.places, strict=True)
        ]
        with connection.cursor() as cursor:
            cursor.execute(written.sql, asked)
            return written.read(cursor.fetchall())

    def _keep(self, key: tuple[str, tuple[int | str, ...]], values: tuple[Value, ...]) -> _Written:
        marks, names = _mark(values)
        compiler = self._write(*marks).query.get_compiler(connection=connection)
        sql, constants = compiler.as_sql()
        columns = [selected[0] for selected in compiler.select[: compiler.col_count]]
        converters = compiler.get_converters(columns)

        def read(rows: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
            return list(map(tuple, compiler.apply_converters(rows, converters)))

        written = _Written(
            sql, constants, tuple(map(names.get, constants)), read if converters else list
        )
        if {place for place in written.places if place is not None} != set(names.values()):
            raise ValueError(f"A value does not stand in the question as handed over: {sql}")
        self._written[key] = written
        return written


def _pad(numbers: tuple[int, ...]) -> tuple[int, ...]:
    """Return as many numbers as the next power of two, the last again, to write few questions."""
    most = 1 << (len(numbers) - 1).bit_length()
    return numbers + numbers[-1:] * (most - len(numbers))


def _list(value: Value) -> tuple[int | str, ...]:
    return value if isinstance(value, tuple) else (value,)


def _shape(value: Value) -> int | str:
    return len(value) if isinstance(value, tuple) else type(value).__name__


def _mark(values: tuple[Value, ...]) -> tuple[list[Value], dict[Any, int]]:
    """Return a mark for each value, and which place among all of them a mark stands for."""
    marks: list[Value] = []
    names: dict[Any, int] = {}

    def name(value: int | str) -> int | str:
        number = len(names)
        mark = f"\ue000{number}\ue001" if isinstance(value, str) else _FIRST_MARK + number
        names[mark] = number
        return mark

    for value in values:
        named = [name(one) for one in _list(value)]
        marks.append(tuple(map(int, named)) if isinstance(value, tuple) else named[0])
    return marks, names
