"""A rule set as plain JSON values and back, so that every version is kept whole.

Front doors: `encode_rule_set`, `decode_rule_set`. Reading follows the types of
`rule_set`: a figure added later takes its default when an older version is
read, and what is not understood is refused, never dropped. Not for printing.
"""

from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from orchard.domain.errors import RosterError
from scheduling.domain.rule_set import RuleSet

Json = dict[str, Any]


def encode_rule_set(rules: RuleSet) -> Json:
    """Return the set as dictionaries, lists, strings and numbers; days as "2026-11-25"."""
    found: Json = _encode(rules)
    return found


def _encode(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: _encode(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, tuple):
        return [_encode(entry) for entry in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    return value


def decode_rule_set(data: Json) -> RuleSet:
    """Return the set that `encode_rule_set` wrote down.

    Args:
        data: As read from JSON.

    Raises:
        RosterError: With the place of the first value that cannot be read.
    """
    found = _decode(RuleSet, data, "rule set")
    if not isinstance(found, RuleSet):
        raise RosterError("The rule set is empty; give at least its code, title and source.")
    return found


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _decode(kind: Any, data: Any, place: str) -> Any:
    if isinstance(kind, UnionType):
        if data is None:
            return None
        (kind,) = (one for one in get_args(kind) if one is not type(None))
    if get_origin(kind) is tuple:
        if not isinstance(data, list):
            raise _unreadable(place, data, "a list")
        (entry, *_) = get_args(kind)
        return tuple(_decode(entry, one, f"{place}, entry {i}") for i, one in enumerate(data, 1))
    if is_dataclass(kind) and isinstance(kind, type):
        return _decode_part(kind, data, place)
    return _decode_plain(kind, data, place)


def _decode_part(kind: type, data: Any, place: str) -> Any:
    if not isinstance(data, dict):
        raise _unreadable(place, data, "named figures")
    known: dict[str, Field[Any]] = {one.name: one for one in fields(kind)}
    unknown = sorted(set(data) - set(known))
    if unknown:
        raise RosterError(
            f"The {place} names “{unknown[0]}”, which this version of the planner does not know; "
            f"it knows {', '.join(known)}."
        )
    missing = [
        name
        for name, one in known.items()
        if name not in data and one.default is MISSING and one.default_factory is MISSING
    ]
    if missing:
        raise RosterError(f"The {place} lacks “{missing[0]}”; give it.")
    hints = _hints(kind)
    values = {name: _decode(hints[name], one, f"{place}, {name}") for name, one in data.items()}
    return kind(**values)


def _decode_plain(kind: Any, data: Any, place: str) -> Any:
    if kind is date:
        try:
            return date.fromisoformat(data)
        except (TypeError, ValueError):
            raise _unreadable(place, data, "a day as 2026-11-25") from None
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(data)
        except ValueError:
            words = ", ".join(str(one.value) for one in kind)
            raise _unreadable(place, data, f"one of {words}") from None
    if kind is float and isinstance(data, int) and not isinstance(data, bool):
        return float(data)
    if kind is int and isinstance(data, bool):
        raise _unreadable(place, data, "a whole number")
    if not isinstance(data, kind):
        names = {int: "a whole number", float: "a number", str: "text", bool: "yes or no"}
        raise _unreadable(place, data, names.get(kind, kind.__name__))
    return data


def _unreadable(place: str, data: Any, wanted: str) -> RosterError:
    return RosterError(f"The {place} is {data!r}; it should be {wanted}.")
