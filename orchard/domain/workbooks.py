"""The only home of the workbook library: a sheet as the same table a CSV file gives, and back.

Text that a spreadsheet would run gets an apostrophe as in a CSV file (`table_files`), and
loses it when it is read. Formulas are not read: nobody can see here what they would say.
"""

import zipfile
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from io import BytesIO

from openpyxl import Workbook, load_workbook

from orchard.domain.table_files import (
    MOST_COLUMNS,
    MOST_ROWS,
    Table,
    TableUnreadable,
    disarm,
    read_table,
    rearm,
    write_table,
)

MOST_UNPACKED_BYTES = 40 * 1024 * 1024


def is_workbook(data: bytes) -> bool:
    """Say whether bytes begin as an XLSX file does."""
    return data.startswith(b"PK\x03\x04")


def read_workbook(data: bytes) -> Table:
    """Return the table in the first sheet of an XLSX file.

    Args:
        data: The file, whose first row names the columns.

    Raises:
        TableUnreadable: If it is no workbook, unpacks to too much, holds a
            formula, or has no rows or too many of them.

    Source:
        ECMA-376 (Office Open XML), SpreadsheetML.
    """
    try:
        with zipfile.ZipFile(BytesIO(data)) as packed:
            unpacked = sum(part.file_size for part in packed.infolist())
        if unpacked > MOST_UNPACKED_BYTES:
            raise TableUnreadable(
                f"The workbook unpacks to {unpacked / 2**20:.0f} MB; at most "
                f"{MOST_UNPACKED_BYTES / 2**20:.0f} MB are read. Save the sheet alone as CSV."
            )
        book = load_workbook(BytesIO(data), read_only=True, keep_links=False)
        lines = _lines(book.worksheets[0])
    except TableUnreadable:
        raise
    except Exception as fault:  # the library raises whatever a broken file leads it to
        raise TableUnreadable(
            "The workbook cannot be read. Save the sheet as CSV and upload that."
        ) from fault
    if len(lines) < 2:
        raise TableUnreadable(
            "The first sheet has no rows below its first one. The first row names the columns."
        )
    table = read_table(write_table(lines[0], lines[1:]).encode())
    return Table(table.heads, table.rows, table.bad, ("Read as the first sheet of a workbook.",))


def write_workbook(title: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """Return a workbook of one sheet; every cell is text, and none is a formula."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    for line in (heads, *rows):
        sheet.append([disarm(cell) for cell in line])
    kept = BytesIO()
    book.save(kept)
    return kept.getvalue()


def _lines(sheet: object) -> list[list[str]]:
    found: list[list[str]] = []
    for row in sheet.iter_rows(max_col=MOST_COLUMNS):  # type: ignore[attr-defined]
        cells = [_text(cell) for cell in row]
        if any(cells):
            found.append(cells)
        if len(found) > MOST_ROWS + 1:
            raise TableUnreadable(f"The sheet has more than {MOST_ROWS} rows. Split it in two.")
    width = max((n for line in found for n, cell in enumerate(line, start=1) if cell), default=0)
    return [line[:width] for line in found]


def _text(cell: object) -> str:
    value = getattr(cell, "value", None)
    if getattr(cell, "data_type", "") == "f":
        raise TableUnreadable(
            f"The cell {getattr(cell, 'coordinate', '')} holds a formula. Copy the sheet and paste "
            "it back as values only."
        )
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return rearm(str(value).strip())
