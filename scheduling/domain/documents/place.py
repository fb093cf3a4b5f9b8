"""A value of a document together with where it stands, so that every refusal can name it.

A reader asks a place for what it expects (`whole`, `word`, `fields` …) and gets
it, or a `DocumentFault` with the path and the line. Knows nothing of what the
formats mean.
"""

import re
from collections.abc import Iterable
from datetime import date
from typing import Any, NoReturn
from unicodedata import category

from scheduling.domain.documents.faults import DocumentFault, Path, Step, path_words
from scheduling.domain.documents.parsing import Members, Unreadable, parse_document
from scheduling.domain.documents.positions import find_line

MOST_LETTERS = 200
MOST = 1_000_000_000
ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


class Place:
    """One value of a document, and the way to it."""

    __slots__ = ("key", "parent", "text", "value")

    def __init__(
        self, text: str, value: Any, parent: "Place | None" = None, key: Step = ""
    ) -> None:
        self.text = text
        self.value = value
        self.parent = parent
        self.key = key

    @property
    def path(self) -> Path:
        """The steps from the outermost object to this value."""
        steps: list[Step] = []
        here: Place | None = self
        while here is not None and here.parent is not None:
            steps.append(here.key)
            here = here.parent
        return tuple(reversed(steps))

    def refuse(self, sentence: str, *, key: Step | None = None, occurrence: int = 1) -> NoReturn:
        """Raise a fault that names this value, or the member `key` of it."""
        path = self.path if key is None else (*self.path, key)
        raise DocumentFault(sentence, path, find_line(self.text, path, occurrence=occurrence))

    def fields(self, keys: tuple[str, ...], *, spare: tuple[str, ...] = ()) -> dict[str, "Place"]:
        """Return the members of an object that has exactly these keys, or some of `spare` too."""
        members = self._members()
        known = (*keys, *(key for key in spare if key in members))
        if len(members) != len(known) or not all(key in members for key in known):
            self._refuse_keys(members, known)
        return {key: Place(self.text, members[key], self, key) for key in known}

    def pairs(self) -> list[tuple[str, "Place"]]:
        """Return the members of an object whose keys are free, in their order."""
        members = self._members()
        for key in members:
            self._check_word(key, key=key)
        return [(key, Place(self.text, value, self, key)) for key, value in members.items()]

    def entries(self) -> list["Place"]:
        """Return the values of a list."""
        if not isinstance(self.value, list):
            self._refuse_kind("a list in square brackets")
        return [Place(self.text, value, self, index) for index, value in enumerate(self.value)]

    def whole(self, least: int = 0, most: int = MOST) -> int:
        """Return a whole number between two limits."""
        value = self.value
        if type(value) is not int or not least <= value <= most:
            if type(value) is int:
                which = f"at least {least}" if value < least else f"at most {most}"
                self.refuse(f"{value} is given and {which} is asked for; correct the number.")
            self._refuse_kind(f"a whole number from {least} to {most}")
        return value

    def number(self) -> float:
        """Return a number of at least 0, whole or not."""
        value = self.value
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= MOST:
            self._refuse_kind(f"a number from 0 to {MOST}")
        return float(value)

    def flag(self) -> bool:
        """Return true or false."""
        if not isinstance(self.value, bool):
            self._refuse_kind("true or false")
        return self.value

    def word(self) -> str:
        """Return a text that is not empty."""
        if not isinstance(self.value, str):
            self._refuse_kind("a text in quotation marks")
        self._check_word(self.value)
        return self.value

    def sentence(self) -> str:
        """Return a text of any length, even an empty one."""
        if not isinstance(self.value, str):
            self._refuse_kind("a text in quotation marks")
        return self.value

    def word_or_null(self) -> str | None:
        """Return a text, or None for null."""
        return None if self.value is None else self.word()

    def whole_or_null(self, least: int, most: int) -> int | None:
        """Return a whole number, or None for null."""
        return None if self.value is None else self.whole(least, most)

    def day(self) -> date:
        """Return a day written as year-month-day."""
        value = self.value
        if not isinstance(value, str) or not ISO_DAY.fullmatch(value):
            self._refuse_kind("a day such as “2027-04-17”")
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.refuse(f"“{value}” is no day of the calendar; correct it.")

    def counts(self, least: int = 0, most: int = MOST) -> tuple[tuple[str, int], ...]:
        """Return an object of free keys and whole numbers, sorted by key."""
        return tuple(sorted((key, place.whole(least, most)) for key, place in self.pairs()))

    def _members(self) -> Members:
        if not isinstance(self.value, Members):
            self._refuse_kind("an object in braces")
        if self.value.twice is not None:
            self.refuse(
                "this key stands twice in one object; remove one of the two.",
                key=self.value.twice,
                occurrence=2,
            )
        return self.value

    def _refuse_keys(self, members: Members, keys: tuple[str, ...]) -> NoReturn:
        for key in members:
            if key not in keys:
                known = ", ".join(keys)
                self.refuse(f"no such key here; the keys are {known}. Remove it.", key=key)
        missing = next(key for key in keys if key not in members)
        here = path_words(self.path) or "the document"
        self.refuse(f"{here} has no key “{missing}”; add it.")

    def _check_word(self, word: str, key: str | None = None) -> None:
        if not word.strip():
            self.refuse("the text is empty; write something.", key=key)
        if len(word) > MOST_LETTERS:
            self.refuse(
                f"the text has {len(word):,} letters, at most {MOST_LETTERS} may be; shorten it.",
                key=key,
            )
        if not word.isprintable() and any(category(sign) in ("Cc", "Cs") for sign in word):
            self.refuse("the text holds a sign that cannot be printed; remove it.", key=key)

    def _refuse_kind(self, wanted: str) -> NoReturn:
        self.refuse(f"{_found(self.value)} stands where {wanted} is asked for; correct it.")


def open_document(text: str, format_: str) -> Place:
    """Return the outermost place of a document that says it has this format.

    Args:
        text: The document.
        format_: The format asked for, such as "day-problem/1".

    Raises:
        DocumentFault: If it is no JSON, no object, or of another format.
    """
    whole = Place(text, parse_document(text))
    members = whole._members()
    if "format" not in members:
        whole.refuse(f"the document has no key “format”; a {format_} document says so there.")
    said = Place(text, members["format"], whole, "format")
    if said.value != format_:
        said.refuse(f"{_found(said.value)} stands where “{format_}” is asked for.")
    return whole


def refuse_twice(places: Iterable[tuple[str | int, Place]], what: str) -> None:
    """Raise a fault at the second of two places that have the same id."""
    seen: set[str | int] = set()
    for name, place in places:
        if name in seen:
            place.refuse(f"{what} “{name}” is there twice; remove or rename one.")
        seen.add(name)


def _found(value: Any) -> str:
    match value:
        case None:
            return "null"
        case bool():
            return "true" if value else "false"
        case str():
            return f"“{value[:40]}…”" if len(value) > 40 else f"“{value}”"
        case list():
            return "a list"
        case Members():
            return "an object"
        case Unreadable():
            if len(value.written) > 20:
                return f"a number of {len(value.written):,} digits"
            return value.written
    return str(value)
