"""From bytes to the plain values of a JSON document, with whatever is wrong said in a sentence.

Front doors: `decode_document`, `parse_document`, `find_format`. What the values
mean is the business of the four readers.
"""

import json
from dataclasses import dataclass
from typing import Any

from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.positions import find_depth_line

MOST_BYTES = 20_000_000  # proposed: thirty times a season of 60 sessions and 2,000 items
MOST_DEPTH = 40  # the formats go down six levels
MOST_DIGITS = 18
BYTE_ORDER_MARK = "\ufeff"


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A number that is none: NaN, Infinity, or more digits than anybody counts."""

    written: str


class Members(dict[str, Any]):
    """An object of the document. `twice` is a key that it holds more than once, or None."""

    twice: str | None = None


def decode_document(data: bytes) -> str:
    """Return a document's text.

    Args:
        data: The bytes of a file.

    Raises:
        DocumentFault: If it is too long, not UTF-8, or begins with a byte order mark.
    """
    if len(data) > MOST_BYTES:
        raise DocumentFault(
            f"the document has {len(data):,} bytes, a document has at most {MOST_BYTES:,}; "
            "check that it is the file you meant."
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        raise DocumentFault(
            f"byte {problem.start + 1} of the document is not UTF-8; save the file as UTF-8.",
            line=line,
        ) from problem


def parse_document(text: str) -> Any:
    """Return the plain values of a JSON text, objects as `Members`.

    Args:
        text: The document.

    Raises:
        DocumentFault: If it is no JSON, or nested deeper than any document.
    """
    if text.startswith(BYTE_ORDER_MARK):
        raise DocumentFault(
            "the document begins with a byte order mark; save the file as UTF-8 without one."
        )
    try:
        return json.loads(
            text,
            object_pairs_hook=_members,
            parse_constant=Unreadable,
            parse_int=_whole,
        )
    except json.JSONDecodeError as problem:
        raise DocumentFault(
            f"the document is no JSON from column {problem.colno} on ({problem.msg}); "
            "correct it there.",
            line=problem.lineno,
        ) from problem
    except RecursionError as problem:
        raise DocumentFault(
            f"brackets are nested more than {MOST_DEPTH} deep, and no document of these formats "
            "is; check that it is the file you meant.",
            line=find_depth_line(text, MOST_DEPTH),
        ) from problem


def find_format(text: str) -> str:
    """Return what a document says of its format, or "" where it says nothing.

    Raises:
        DocumentFault: If it is no JSON object.
    """
    whole = parse_document(text)
    if not isinstance(whole, Members):
        raise DocumentFault("a document is an object in braces, with a key “format”.")
    said = whole.get("format")
    return said if isinstance(said, str) else ""


def _members(pairs: list[tuple[str, Any]]) -> Members:
    members = Members(pairs)
    if len(members) < len(pairs):
        seen: set[str] = set()
        for key, _ in pairs:
            if key in seen:
                members.twice = key
                break
            seen.add(key)
    return members


def _whole(digits: str) -> int | Unreadable:
    return int(digits) if len(digits) <= MOST_DIGITS else Unreadable(digits)
