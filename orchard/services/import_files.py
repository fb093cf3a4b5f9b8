"""Reading a folder of TOML and CSV files into values, with every problem found in them.

For the import services. Nothing is written from here, and a problem never stops
the reading: it is noted with its file, its line or entry, the value and the
remedy, so that one look shows all there is to put right. Front doors:
`FileReader` and `Entry`. Not for uploads: the folder is the coordinator's own.
"""

import csv
import io
import math
import re
import tomllib
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, timedelta
from pathlib import Path

from orchard.domain.errors import PlannerError

MOST_SHOWN = 60
LIST_SIGN = ";"
_CODE = re.compile(r"[A-Za-z0-9_-]+")


class ImportRefused(PlannerError):
    """The files cannot be imported; `problems` lists everything that is wrong with them."""

    code = "import.refused"

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        count = len(self.problems)
        shown = "\n".join(f"  {problem}" for problem in self.problems[:MOST_SHOWN])
        more = f"\n  … and {count - MOST_SHOWN} more." if count > MOST_SHOWN else ""
        what = "1 problem was" if count == 1 else f"{count} problems were"
        super().__init__(
            f"{what} found and nothing was imported. Put right what is listed and load again.\n"
            f"{shown}{more}"
        )


class Problems:
    """What is wrong with the files, in the order in which it was found."""

    def __init__(self) -> None:
        self._found: list[str] = []

    def note(self, where: str, text: str) -> None:
        """Add one problem: where it is, and a sentence with value, limit and remedy."""
        self._found.append(f"{where}: {text}")

    def __len__(self) -> int:
        return len(self._found)

    def refuse_if_any(self) -> None:
        """Stop the import.

        Raises:
            ImportRefused: If anything was noted.
        """
        if self._found:
            raise ImportRefused(self._found)


class Entry:
    """One CSV row or TOML table. Getters note what is wrong and return a harmless stand-in.

    A stand-in never reaches the database, because a noted problem refuses the import.
    """

    def __init__(
        self,
        where: str,
        values: Mapping[str, object],
        problems: Problems,
        *,
        typed: bool,
        moved: timedelta = timedelta(0),
    ) -> None:
        self.where = where
        self._moved = moved
        self._values = values
        self.problems = problems
        self._typed = typed  # TOML carries types; CSV cells are text

    def note(self, text: str) -> None:
        """Note a problem of this entry."""
        self.problems.note(self.where, text)

    def has(self, key: str) -> bool:
        """Say whether the entry gives the key a value."""
        return self._values.get(key) not in (None, "")

    def raw(self, key: str) -> object:
        """Return the value as it was read, None if left out."""
        return self._values.get(key)

    def text(self, key: str, *, most: int = 200, optional: bool = False) -> str:
        """Return words on one line."""
        raw = self._values.get(key)
        if raw in (None, ""):
            if not optional:
                self.note(f"“{key}” is empty. Fill it in.")
            return ""
        if not isinstance(raw, str):
            self.note(f"“{key}” is {raw!r}, not text. Put it in quotation marks.")
            return ""
        if any(ord(sign) < 32 or ord(sign) == 127 for sign in raw):
            self.note(f"“{key}” holds a line break or a control sign. Write it on one line.")
            return ""
        if len(raw) > most:
            self.note(f"“{key}” has {len(raw)} signs; at most {most} fit. Shorten it.")
        return raw

    def code(self, key: str, *, most: int) -> str:
        """Return a code: it stands in addresses of pages and in keys of tasks."""
        value = self.text(key, most=most)
        if value and not _CODE.fullmatch(value):
            self.note(f"“{key}” is “{value}”; a code has only letters a to z, digits, - and _.")
        return value

    def number(self, key: str, *, least: float, most: float, unit: str = "") -> float:
        """Return a number within limits, both inclusive."""
        value = self._parse_number(key)
        if value is None:
            return least
        if not least <= value <= most:
            self.note(
                f"“{key}” is {value:g}{_spaced(unit)}; it must be from {least:g} to "
                f"{most:g}{_spaced(unit)}. Measure or copy it again."
            )
            return least
        return value

    def optional_number(
        self, key: str, *, least: float, most: float, unit: str = ""
    ) -> float | None:
        """Return a number within limits, or None for an empty cell."""
        return self.number(key, least=least, most=most, unit=unit) if self.has(key) else None

    def whole(
        self, key: str, *, least: int, most: int, unit: str = "", default: int | None = None
    ) -> int:
        """Return a whole number within limits, both inclusive."""
        if default is not None and not self.has(key):
            return default
        value = self.number(key, least=least, most=most, unit=unit)
        if value != int(value):
            self.note(f"“{key}” is {value:g}; it must be a whole number. Round it.")
        return int(value)

    def truth(self, key: str) -> bool:
        """Return true or false; left out means false."""
        raw = self._values.get(key, False)
        if not isinstance(raw, bool):
            self.note(f"“{key}” is {raw!r}. Write true or false.")
            return False
        return raw

    def optional_truth(self, key: str) -> bool | None:
        """Return true or false, or None when left out: nobody knows."""
        return self.truth(key) if self.has(key) else None

    def optional_day(self, key: str) -> date | None:
        """Return a day written as 2027-04-17, or None when left out."""
        return self.day(key) if self.has(key) else None

    def day(self, key: str) -> date:
        """Return a day written as 2027-04-17, moved as the reader was told."""
        raw = self._values.get(key)
        if isinstance(raw, date) and not isinstance(raw, datetime):
            return raw + self._moved
        try:
            return date.fromisoformat(str(raw or "")) + self._moved
        except ValueError:
            self.note(f"“{key}” is “{raw or ''}”, not a day. Write it as 2027-04-17.")
            return date(1, 1, 1)

    def choice(self, key: str, allowed: Collection[str], what: str) -> str:
        """Return one of the allowed words."""
        value = self.text(key)
        if value and value not in allowed:
            self.note(f"unknown {what} “{value}” in “{key}”. {list_known(allowed)}")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of words; in a CSV cell they are parted by semicolons."""
        raw = self._values.get(key)
        if raw in (None, ""):
            return ()
        parts = raw.split(LIST_SIGN) if isinstance(raw, str) and not self._typed else raw
        if not isinstance(parts, list) or not all(isinstance(part, str) for part in parts):
            self.note(f"“{key}” is {raw!r}, not a list of words.")
            return ()
        return tuple(part.strip() for part in parts if part.strip())

    def choices(self, key: str, allowed: Collection[str], what: str) -> tuple[str, ...]:
        """Return a list of allowed words, each once."""
        found = self.texts(key)
        for value in sorted(set(found) - set(allowed)):
            self.note(f"unknown {what} “{value}” in “{key}”. {list_known(allowed)}")
        for value in sorted({value for value in found if found.count(value) > 1}):
            self.note(f"“{key}” names “{value}” more than once. Name it once.")
        return found

    def points(self, key: str, least: int) -> tuple[tuple[float, float], ...]:
        """Return [[east, north], …] in metres from the site's peg, at least `least` of them."""
        raw = self._values.get(key)
        found: list[tuple[float, float]] = []
        for pair in raw if isinstance(raw, list) else ():
            if not (isinstance(pair, list) and len(pair) == 2 and all(map(_is_number, pair))):
                self.note(
                    f"“{key}” holds {pair!r}; each point is two numbers, metres east and north."
                )
                return ()
            found.append((float(pair[0]), float(pair[1])))
        if len(found) < least:
            self.note(f"“{key}” has {len(found)} points; it needs at least {least}.")
            return ()
        return tuple(found)

    def table(self, key: str) -> Mapping[str, object]:
        """Return a nested table, empty if left out."""
        raw = self._values.get(key, {})
        if not isinstance(raw, dict):
            self.note(f"“{key}” is {raw!r}, not a table of names and values.")
            return {}
        return raw

    def section(self, key: str, allowed: Collection[str]) -> "Entry":
        """Return a nested table as an entry of its own."""
        entry = Entry(f"{self.where}, [{key}]", self.table(key), self.problems, typed=True)
        entry.refuse_unknown_keys(allowed)
        return entry

    def refuse_unknown_keys(self, allowed: Collection[str]) -> None:
        """Note every key that nobody reads: most are slips of the pen."""
        for key in sorted(set(self._values) - set(allowed)):
            self.note(f"unknown key “{key}”. {list_known(allowed)}")

    def _parse_number(self, key: str) -> float | None:
        raw = self._values.get(key)
        if raw in (None, ""):
            self.note(f"“{key}” is empty. Give a number.")
            return None
        if not self._typed and isinstance(raw, str):
            try:
                raw = float(raw)
            except ValueError:
                self.note(f"“{key}” is “{raw}”, not a number. Write it as 1.5, with a point.")
                return None
        if not _is_number(raw):
            self.note(f"“{key}” is {raw!r}, not a number. Write it as 1.5, with a point.")
            return None
        return float(str(raw))


class FileReader:
    """Reads files of one folder, noting problems as it goes.

    Every day the files give is moved by `moved`, so that a season written once
    can be carried again in a later year.
    """

    def __init__(
        self, folder: Path, problems: Problems, *, moved: timedelta = timedelta(0)
    ) -> None:
        self.moved = moved
        self.folder = folder
        self.problems = problems

    def has(self, name: str) -> bool:
        """Say whether the folder holds a file."""
        return (self.folder / name).is_file()

    def read_toml(self, name: str, allowed: Collection[str]) -> Entry:
        """Return a TOML file as one entry; an empty one if it cannot be read."""
        values: dict[str, object] = {}
        text = self._read_text(name)
        if text is not None:
            try:
                values = tomllib.loads(text)
            except tomllib.TOMLDecodeError as fault:
                self.problems.note(name, f"cannot be read as TOML ({fault}). Mend that line.")
                text = None
        problems = self.problems if text is not None else Problems()
        entry = Entry(name, values, problems, typed=True, moved=self.moved)
        entry.refuse_unknown_keys(allowed)
        return entry

    def read_tables(
        self, name: str, entry: Entry, key: str, allowed: Collection[str], label: str = "code"
    ) -> tuple[Entry, ...]:
        """Return the tables [[key]] of a TOML file, each with its place in it."""
        tables = entry.raw(key) or []
        if not isinstance(tables, list):
            entry.note(f"“{key}” must be written as [[{key}]], once for each.")
            return ()
        found = []
        for number, table in enumerate(tables, start=1):
            values = table if isinstance(table, dict) else {}
            where = f"{name}, {key} {number} (“{values.get(label, '')}”)"
            row = Entry(where, values, self.problems, typed=True, moved=self.moved)
            row.refuse_unknown_keys(allowed)
            found.append(row)
        return tuple(found)

    def read_csv(
        self, name: str, columns: Collection[str], optional: Collection[str] = ()
    ) -> tuple[Entry, ...]:
        """Return the rows of a CSV file whose first line names the columns; some are optional."""
        text = self._read_text(name)
        if text is None:
            return ()
        reader = csv.reader(io.StringIO(text, newline=""), strict=True)
        rows: list[Entry] = []
        try:
            heads = next(reader, [])
            if not self._check_heads(name, heads, columns, optional):
                return ()
            for cells in reader:
                where = f"{name} line {reader.line_num}"
                if not any(cells):
                    continue
                if len(cells) != len(heads):
                    self.problems.note(
                        where,
                        f"has {len(cells)} cells; the first line names {len(heads)} columns. "
                        "Add or take out a comma, or put quotation marks round a comma in a cell.",
                    )
                    continue
                stripped = (cell.strip() for cell in cells)
                values = dict(zip(heads, stripped, strict=True))
                rows.append(Entry(where, values, self.problems, typed=False, moved=self.moved))
        except csv.Error as fault:
            self.problems.note(
                f"{name} line {reader.line_num}", f"cannot be read as CSV ({fault})."
            )
        return tuple(rows)

    def _check_heads(
        self, name: str, heads: list[str], columns: Collection[str], optional: Collection[str]
    ) -> bool:
        missing = sorted(set(columns) - set(heads))
        unknown = sorted(set(heads) - {*columns, *optional})
        twice = sorted({head for head in heads if heads.count(head) > 1})
        for words, found in (("lacks", missing), ("has unknown", unknown), ("repeats", twice)):
            if found:
                self.problems.note(
                    f"{name} line 1",
                    f"{words} the column{'s' if len(found) > 1 else ''} {', '.join(found)}. "
                    f"The columns are: {', '.join((*columns, *optional))}.",
                )
        return not (missing or unknown or twice)

    def _read_text(self, name: str) -> str | None:
        path = self.folder / name
        if not path.is_file():
            self.problems.note(
                name,
                f"is missing from the folder “{self.folder.name}”. Put it back or name "
                "another folder.",
            )
            return None
        try:
            return path.read_text(encoding="utf-8-sig")
        except UnicodeDecodeError as fault:
            self.problems.note(
                name, f"is not UTF-8 text (byte {fault.start}). Save it with the encoding UTF-8."
            )
            return None


def note_repeats(entries: Iterable[tuple[Entry, str]], what: str) -> None:
    """Note every code that stands in the files more than once.

    Args:
        entries: Each entry with its code; empty codes were noted before.
        what: What the code is of, for the message.
    """
    first: dict[str, str] = {}
    for entry, code in entries:
        if code and code in first:
            entry.note(f"{what} “{code}” stands already in {first[code]}. Use another or merge.")
        first.setdefault(code, entry.where)


def list_known(allowed: Collection[str]) -> str:
    """Return the end of a message about an unknown word: which ones are known."""
    return f"Known: {', '.join(sorted(allowed)) or 'none'}."


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _spaced(unit: str) -> str:
    return f" {unit}" if unit else ""
