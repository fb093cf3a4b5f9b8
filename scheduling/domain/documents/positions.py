"""On which line of a JSON text a value stands, found from its path.

Only asked when something is wrong, so that reading a good document costs
nothing here. The text is one that the JSON library has read; what it refuses
it locates itself. Not a parser: values off the path are skipped unread.
"""

import re

from scheduling.domain.documents.faults import Path, Step

SPACE = re.compile(r"[ \t\r\n]*")
STRING = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"')
BRACKETS = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"|[\[\]{}]')
PLAIN = re.compile(r"[^ \t\r\n,\]}]+")  # a number, true, false, null
ESCAPE = re.compile(r"\\(u[0-9a-fA-F]{4}|.)")
PLAIN_ESCAPES = {"b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t"}


def find_line(text: str, path: Path, *, occurrence: int = 1) -> int:
    """Return the line, counted from 1, on which the last step of a path stands.

    Args:
        text: Well-formed JSON.
        path: Keys and list places from the outermost value inwards; one that
            leads nowhere is followed as far as it goes.
        occurrence: Which of several equal keys the last step means.

    Returns:
        For a member of an object the line of its key, else the line on which
        the value begins.
    """
    return text.count("\n", 0, find_offset(text, path, occurrence=occurrence)) + 1


def find_offset(text: str, path: Path, *, occurrence: int = 1) -> int:
    """Return the offset at which the last step of a path stands (see `find_line`)."""
    start = value = _skip_space(text, 0)
    for depth, step in enumerate(path):
        nth = occurrence if depth == len(path) - 1 else 1
        found = _enter(text, value, step, nth)
        if found is None:
            break
        start, value = found
    return start


def find_depth_line(text: str, most: int) -> int:
    """Return the line on which brackets are first nested deeper than `most`."""
    depth = 0
    for token in BRACKETS.finditer(text):
        first = token.group()[0]
        depth += (first in "[{") - (first in "]}")
        if depth > most:
            return text.count("\n", 0, token.start()) + 1
    return 1


def _enter(text: str, value: int, step: Step, nth: int) -> tuple[int, int] | None:
    """Return where a member stands and where its value begins; None when it is not there."""
    if isinstance(step, int):
        return _enter_list(text, value, step) if text[value : value + 1] == "[" else None
    return _enter_object(text, value, step, nth) if text[value : value + 1] == "{" else None


def _enter_list(text: str, value: int, index: int) -> tuple[int, int] | None:
    at = _skip_space(text, value + 1)
    while at < len(text) and text[at] != "]":
        if index == 0:
            return at, at
        index -= 1
        at = _next_member(text, _skip_value(text, at))
    return None


def _enter_object(text: str, value: int, key: str, nth: int) -> tuple[int, int] | None:
    at = _skip_space(text, value + 1)
    while at < len(text) and text[at] == '"':
        start, end = at, _skip_value(text, at)
        at = _skip_space(text, _skip_space(text, end) + 1)  # past the colon
        if _unescape(text[start + 1 : end - 1]) == key:
            nth -= 1
            if nth == 0:
                return start, at
        at = _next_member(text, _skip_value(text, at))
    return None


def _next_member(text: str, end: int) -> int:
    at = _skip_space(text, end)
    return _skip_space(text, at + 1) if text[at : at + 1] == "," else at


def _skip_space(text: str, at: int) -> int:
    found = SPACE.match(text, at)
    return at if found is None else found.end()


def _skip_value(text: str, at: int) -> int:
    """Return the offset just after the value that begins here, however deep it is."""
    first = text[at : at + 1]
    if first not in ("[", "{"):
        found = (STRING if first == '"' else PLAIN).match(text, at)
        return len(text) if found is None else found.end()
    depth = 0
    for token in BRACKETS.finditer(text, at):
        bracket = token.group()[0]
        depth += (bracket in "[{") - (bracket in "]}")
        if depth == 0:
            return token.end()
    return len(text)


def _unescape(quoted: str) -> str:
    if "\\" not in quoted:
        return quoted

    def plain(match: re.Match[str]) -> str:
        escape = match.group(1)
        if escape[0] == "u" and len(escape) > 1:
            return chr(int(escape[1:], 16))
        return PLAIN_ESCAPES.get(escape, escape)

    halves = ESCAPE.sub(plain, quoted)
    # A character beyond 16 bits is written as two halves; join them as JSON does.
    return halves.encode("utf-16", "surrogatepass").decode("utf-16", "surrogatepass")
