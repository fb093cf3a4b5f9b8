"""The cells of one row as words, numbers, lengths, days and yes or no.

An empty cell is None: it says nothing. A cell that cannot be read raises `BadCell`
with a sentence for the person who made the file. Front door: `Cells`.
"""

import re
from collections.abc import Mapping, Sequence
from datetime import date

from orchard.domain.columns import Column, Meaning
from orchard.domain.errors import PlannerError, UnitsError
from orchard.domain.table_files import Table, TableRow
from orchard.domain.units import Dimension, parse_quantity, unit_size

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_CODE = re.compile(r"[A-Za-z0-9_-]+")
_STEM_SIGNS = re.compile(r"[;/|+\n]")
_YES = {"yes", "y", "true", "1"}
_NO = {"no", "n", "false", "0"}


class BadCell(PlannerError):
    """A cell that cannot be read, or says what cannot be."""

    code = "table.bad_cell"


class Cells:
    """One row by the meanings of its columns. `None` everywhere means: nothing said."""

    def __init__(self, row: TableRow, columns: Mapping[Meaning, Column], decimal: str) -> None:
        self._row = row
        self._columns = columns
        self._decimal = decimal

    def has(self, *meanings: Meaning) -> bool:
        """Return whether every one of these cells says something."""
        return all(self._raw(meaning) for meaning in meanings)

    def text(self, meaning: Meaning, most: int) -> str | None:
        """Return words on one line."""
        raw = self._raw(meaning)
        if raw is None:
            return None
        if any(ord(sign) < 32 or ord(sign) == 127 for sign in raw):
            raise BadCell(
                f"The {meaning.value} holds a line break or a control sign. Write it on one line."
            )
        if len(raw) > most:
            raise BadCell(
                f"The {meaning.value} “{raw[:20]}…” has {len(raw)} signs; at most {most} fit. "
                "Shorten it."
            )
        return raw

    def code(self, meaning: Meaning, most: int = 12) -> str | None:
        """Return a code, which stands in addresses of pages and keys of tasks."""
        value = self.text(meaning, most)
        if value is not None and not _CODE.fullmatch(value):
            raise BadCell(
                f"The {meaning.value} is “{value}”; it may hold letters a to z, digits, - and _. "
                "Change the others."
            )
        return value

    def choice(self, meaning: Meaning, allowed: Sequence[str]) -> str | None:
        """Return one of the allowed words, in any case."""
        raw = self._raw(meaning)
        if raw is None:
            return None
        value = " ".join(raw.casefold().replace("_", " ").split())
        if value not in allowed:
            raise BadCell(
                f"The {meaning.value} is “{raw[:40]}”. Write one of: {', '.join(allowed)}."
            )
        return value

    def number(self, meaning: Meaning) -> float | None:
        """Return a bare number, such as a longitude."""
        raw = self._raw(meaning)
        return None if raw is None else self._number(raw, meaning)

    def length_m(self, meaning: Meaning) -> float | None:
        """Return a length in metres, of either sign: in its own unit, else in its column's."""
        raw = self._raw(meaning)
        return None if raw is None else self._length_m(raw, meaning)

    def size_m(self, meaning: Meaning, least: float, most: float) -> float | None:
        """Return a length in metres within limits, both inclusive."""
        raw = self._raw(meaning)
        return None if raw is None else self._size_m(raw, meaning, least, most)

    def sizes_m(self, meaning: Meaning, least: float, most: float) -> tuple[float, ...] | None:
        """Return several lengths in metres, parted by semicolons, strokes or plus signs."""
        raw = self._raw(meaning)
        if raw is None:
            return None
        parts = [part.strip() for part in _STEM_SIGNS.split(raw) if part.strip()]
        return tuple(self._size_m(part, meaning, least, most) for part in parts)

    def day(self, meaning: Meaning) -> date | None:
        """Return a day written as 2027-04-17."""
        raw = self._raw(meaning)
        if raw is None:
            return None
        try:
            return date.fromisoformat(raw)
        except ValueError as fault:
            raise BadCell(
                f"The {meaning.value} is “{raw[:40]}”. Write it as 2027-04-17."
            ) from fault

    def truth(self, meaning: Meaning) -> bool | None:
        """Return yes or no as true or false."""
        raw = self._raw(meaning)
        if raw is None:
            return None
        if raw.casefold() not in _YES | _NO:
            raise BadCell(f"“{raw[:40]}” stands under “{meaning.value}”. Write yes or no.")
        return raw.casefold() in _YES

    def _raw(self, meaning: Meaning) -> str | None:
        column = self._columns.get(meaning)
        return (self._row.cells[column.index] or None) if column else None

    def _number(self, raw: str, meaning: Meaning) -> float:
        plain = raw.replace("−", "-").replace("\u00a0", "").replace("\u202f", "")
        if self._decimal == "," and "." not in plain:
            plain = plain.replace(",", ".")
        if _NUMBER.fullmatch(plain):
            return float(plain)
        if re.fullmatch(r"[+-]?[\d.,]+", plain):
            used, other = ("comma", "point") if self._decimal == "," else ("point", "comma")
            raise BadCell(
                f"The {meaning.value} is “{raw[:40]}”, with a {other}, but numbers in this file "
                f"have a decimal {used}. Write it with a decimal {used} and nothing else."
            )
        raise BadCell(f"The {meaning.value} is “{raw[:40]}”, not a number. Write a number.")

    def _length_m(self, raw: str, meaning: Meaning) -> float:
        try:
            if re.search(r"[^\W\d_eE]|[\"'″′”’]", raw):
                sign = -1 if raw[0] in "-−" else 1
                return sign * parse_quantity(raw.lstrip("+-−"), Dimension.LENGTH)
        except UnitsError as fault:
            raise BadCell(f"The {meaning.value} {fault.message}") from fault
        unit = self._columns[meaning].unit or "m"
        return self._number(raw, meaning) * unit_size(unit, Dimension.LENGTH)

    def _size_m(self, raw: str, meaning: Meaning, least: float, most: float) -> float:
        value = self._length_m(raw, meaning)
        if value < 0:
            raise BadCell(
                f"The {meaning.value} is {raw[:40]}, and a size is never below zero. "
                "Measure or copy it again."
            )
        if not least <= value <= most:
            raise BadCell(
                f"The {meaning.value} is {raw[:40]}, read as {_say(value)}; it must be from "
                f"{_say(least)} to {_say(most)}. Measure it again or correct the column's unit."
            )
        return value


def read_cells(table: Table, columns: Sequence[Column]) -> list[tuple[TableRow, Cells]]:
    """Return every row with its cells by meaning.

    Args:
        table: The table.
        columns: What its columns mean; those that mean nothing are left out.
    """
    used = {column.meaning: column for column in columns if column.meaning is not None}
    return [(row, Cells(row, used, table.decimal)) for row in table.rows]


def _say(value_m: float) -> str:
    return f"{value_m:.3g} m" if value_m >= 0.1 else f"{value_m * 1000:.3g} mm"
