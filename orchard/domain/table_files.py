"""A table of text out of a file's bytes: comma, semicolon or tab, UTF-8 or Latin-1.

Finds out how the file is written and says so; what the columns mean is `columns`.
A cell that a spreadsheet would take for a formula is text: writing puts an apostrophe
before it, reading takes it off again. Front doors: `read_table`, `write_table`.
"""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from orchard.domain.coordinates import Degrees
from orchard.domain.errors import PlannerError

MOST_ROWS = 20_000
MOST_COLUMNS = 100
LONGEST_CELL = 2_000
BYTE_ORDER_MARK = "\ufeff"

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}

# OWASP, CSV Injection: cells that begin with one of these are run as formulas. The wide forms
# are those of East Asian keyboards.
_FORMULA = re.compile(r"'*[=+\-@\t\r＝＋－＠]")
_ESCAPED = re.compile(r"'+[=+\-@\t\r＝＋－＠]")
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
_POINT = re.compile(r"[+\-−]?\d*\.\d+")
_COMMA = re.compile(r"[+\-−]?\d*,\d+")


class TableUnreadable(PlannerError):
    """A file that cannot be read as a table at all."""

    code = "table.unreadable"


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: where it stands in the file, its cells, and the outline it carries, if any."""

    where: str
    cells: tuple[str, ...]
    rings: tuple[tuple[Degrees, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that cannot be used: where, what it is called, and why."""

    where: str
    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class Table:
    """Heads and rows as text, with what was found out about how they are written."""

    heads: tuple[str, ...]
    rows: tuple[TableRow, ...]
    bad: tuple[BadRow, ...]
    notes: tuple[str, ...]
    decimal: str = "."


def read_table(data: bytes) -> Table:
    """Return the table in a CSV file.

    Args:
        data: The file, whose first line names the columns.

    Raises:
        TableUnreadable: If it is no text, has no columns or rows, too many of
            them, or a quotation mark that is never closed.
    """
    text, encoding = _decode(data)
    lines = [line for line in _LINE.findall(text) if line]
    told = re.fullmatch(r"sep=(.)\s*", lines[0]) if lines else None
    if told:
        lines = lines[1:]
    separator = told[1] if told else _find_separator(lines)
    found = list(_split(lines, separator, 1 + bool(told)))
    if len(found) < 2:
        raise TableUnreadable(
            "The file has no rows below its first line. The first line names the columns, "
            "and each line after it is one row."
        )
    heads = tuple(head.strip() for head in found[0][1])
    if len(heads) > MOST_COLUMNS:
        raise TableUnreadable(
            f"The file has {len(heads)} columns; at most {MOST_COLUMNS} are read. "
            "Take out those that are not needed."
        )
    rows, bad = _make_rows(heads, found[1:])
    decimal = _find_decimal(rows, separator)
    notes = (
        f"Read as {encoding}, parted by {SEPARATORS.get(separator, f'“{separator}”')}, "
        f"with a decimal {'comma' if decimal == ',' else 'point'}.",
    )
    return Table(heads, rows, bad, notes, decimal)


def write_table(heads: Sequence[str], rows: Iterable[Sequence[str | float | None]]) -> str:
    """Return a table as CSV text: commas, decimal point, lines ended as RFC 4180 says.

    Args:
        heads: The columns' names.
        rows: Text, numbers, or None for an empty cell. Text that a spreadsheet
            would run gets an apostrophe before it; numbers never do.

    Source:
        RFC 4180 sections 2.1 to 2.7; OWASP, CSV Injection.
    """
    lines: list[Sequence[str | float | None]] = [heads, *rows]
    return "".join(",".join(_quote(cell) for cell in line) + "\r\n" for line in lines)


def disarm(text: str) -> str:
    """Return text that no spreadsheet takes for a formula."""
    return f"'{text}" if _FORMULA.match(text) else text


def rearm(text: str) -> str:
    """Return text as it was before `disarm`."""
    return text[1:] if _ESCAPED.match(text) else text


def write_number(value: float) -> str:
    """Return a number to the tenth of a millimetre without trailing zeros."""
    written = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if written in ("-0", "") else written


def _quote(cell: str | float | None) -> str:
    if cell is None:
        return ""
    text = disarm(cell) if isinstance(cell, str) else write_number(cell)
    return '"' + text.replace('"', '""') + '"' if re.search(r'[",\r\n]|^\s|\s$', text) else text


def _decode(data: bytes) -> tuple[str, str]:
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise TableUnreadable(
            "The file is a workbook, not a text file. Save the sheet as CSV and upload that."
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return data.decode("utf-16"), "UTF-16"
        except UnicodeDecodeError as fault:
            raise TableUnreadable(
                f"The file begins as UTF-16 but breaks off at byte {fault.start}. "
                "Save it again as CSV in UTF-8."
            ) from fault
    if b"\x00" in data:
        raise TableUnreadable("The file is not text. Save the table as CSV and upload that.")
    try:
        return data.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), "Latin-1 (the Windows kind)"


def _find_separator(lines: Sequence[str]) -> str:
    head = next((line for line in lines if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", head)
    counts = {sign: bare.count(sign) for sign in (";", "\t", ",")}
    return max(counts, key=lambda sign: counts[sign]) if any(counts.values()) else ","


def _split(lines: list[str], separator: str, first: int) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(lines, delimiter=separator, strict=True)
    try:
        begins = 1
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield begins + first - 1, cells
            begins = reader.line_num + 1
    except csv.Error as fault:
        raise TableUnreadable(
            f"Line {begins + first - 1} cannot be read ({fault}). A quotation mark may not be "
            "closed; write a quotation mark inside a cell twice."
        ) from fault


def _make_rows(
    heads: tuple[str, ...], found: Sequence[tuple[int, list[str]]]
) -> tuple[tuple[TableRow, ...], tuple[BadRow, ...]]:
    if len(found) > MOST_ROWS:
        raise TableUnreadable(
            f"The file has {len(found)} rows; at most {MOST_ROWS} are read at once. "
            "Split it in two."
        )
    rows: list[TableRow] = []
    bad: list[BadRow] = []
    for line, cells in found:
        spare = [cell for cell in cells[len(heads) :] if cell.strip()]
        if spare or any(len(cell) > LONGEST_CELL for cell in cells):
            reason = (
                f"It has {len(cells)} cells, but the first line names {len(heads)} columns. "
                "Put quotation marks round a cell that holds the parting sign."
                if spare
                else f"A cell is longer than {LONGEST_CELL} signs. Shorten it."
            )
            bad.append(BadRow(f"line {line}", cells[0].strip()[:40], reason))
            continue
        padded = [*cells, *[""] * len(heads)][: len(heads)]
        rows.append(TableRow(f"line {line}", tuple(rearm(cell.strip()) for cell in padded)))
    return tuple(rows), tuple(bad)


def _find_decimal(rows: Iterable[TableRow], separator: str) -> str:
    """Return the decimal sign: a comma only where no number has a point."""
    commas = 0
    for row in rows:
        for cell in row.cells:
            if _POINT.fullmatch(cell):
                return "."
            commas += bool(_COMMA.fullmatch(cell))
    return "," if commas else "," if separator == ";" else "."
