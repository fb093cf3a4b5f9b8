"""Answers about a session's day as a page shows them, and how every answer is kept in between.

What a search found is written down as plain JSON values and read back whole; what
an older version of this site wrote, and this one cannot read, is no answer any
more. Not for finding answers (`planner`), and not for how one is laid out.
"""

from dataclasses import MISSING, asdict, dataclass, fields, is_dataclass
from enum import Enum
from types import UnionType
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from scheduling.domain.roster import SolveStatus
from scheduling.domain.season_answers import SeasonChangesSeen

Kept = dict[str, Any]
AnyAnswer = TypeVar("AnyAnswer")


@dataclass(frozen=True, slots=True)
class SignupLine:
    """Sign-ups that lift the chance, in words; `target` is a percentage or None."""

    target: int | None
    words: str
    percent: float
    low_percent: float
    high_percent: float


@dataclass(frozen=True, slots=True)
class SessionChance:
    """The chance as a page shows it, all shares in percent.

    `wished` days were to be drawn, `draws` were. `signups_asked` says whether there
    was time to try sign-ups. `reasons` and `changes` are told where the work that
    must be done cannot be done even with everybody there. `asks_less` says that the
    day is held against what its roster does, which is less than the season gave it.
    """

    draws: int
    wished: int
    works: int
    fails: int
    undecided: int
    stands: int
    percent: float | None
    low_percent: float
    high_percent: float
    stands_percent: float
    obstacles: tuple[tuple[str, int], ...]
    signups: tuple[SignupLine, ...]
    signups_asked: bool
    reasons: tuple[str, ...]
    changes: tuple[str, ...]
    changes_are_whole: bool
    asks_less: bool
    has_roster: bool
    seconds: float
    seed: int


@dataclass(frozen=True, slots=True)
class CostsSeen:
    """One more of each thing and what it brings; rules that hold back; what brought nothing.

    `not_asked` counts the things time did not allow to try, `rules_not_asked` the
    rules. `is_all_done` says that all work there is gets done with what there is.
    """

    gains: tuple[str, ...]
    rules: tuple[str, ...]
    without_gain: tuple[str, ...]
    not_asked: int = 0
    rules_not_asked: int = 0
    has_roster: bool = True
    is_all_done: bool = False


@dataclass(frozen=True, slots=True)
class SpareSeen:
    """A roster with spare hands: the price of each wish, and what stays undone.

    `sealed` is empty where there is nothing to keep; `conflicts` say why.
    """

    prices: tuple[str, ...]
    undone: str
    conflicts: tuple[str, ...]
    sealed: str


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """A changed place in words; pupils of a class who change alike are one line."""

    name: str
    number: int  # the round, counted from 1
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class PlaceSeen:
    """What somebody does in a round; `was` is what they were told, where that is another."""

    now: str
    was: str = ""


@dataclass(frozen=True, slots=True)
class PersonSeen:
    """A person, or the pupils of a class who do the same all day."""

    name: str
    places: tuple[PlaceSeen, ...]


@dataclass(frozen=True, slots=True)
class RepairSeen:
    """A repair as a page shows it. `sealed` is empty where there is nothing to keep.

    `came` says of people without a sign-up who is taken in, and who cannot be and why;
    `taken_in` counts the former.
    """

    status: SolveStatus
    how_good: str
    undone: str
    changes: tuple[ChangeLine, ...]
    people: tuple[PersonSeen, ...]
    stops: tuple[str, ...]
    seconds: float
    sealed: str
    came: tuple[str, ...] = ()
    taken_in: int = 0

    @property
    def is_best(self) -> bool:
        """Whether nothing better is possible, or nothing at all."""
        return self.status in (SolveStatus.BEST, SolveStatus.IMPOSSIBLE)


def write_answer(
    answer: SessionChance | CostsSeen | SpareSeen | RepairSeen | SeasonChangesSeen,
) -> Kept:
    """Return an answer as plain values that `read_answer` takes back."""
    return asdict(answer)


def read_answer(kind: type[AnyAnswer], kept: Any) -> AnyAnswer | None:
    """Return an answer that was kept, or None where it is of another shape.

    Args:
        kind: Which answer.
        kept: What `write_answer` returned, after its way through JSON.
    """
    try:
        found: AnyAnswer = _read(kind, kept)
    except (TypeError, ValueError, KeyError, AttributeError):
        return None
    return found


def _read(kind: Any, value: Any) -> Any:
    if isinstance(kind, UnionType):
        if value is None:
            return None
        return _read(next(one for one in get_args(kind) if one is not type(None)), value)
    if get_origin(kind) is tuple:
        return _read_tuple(get_args(kind), value)
    if is_dataclass(kind) and isinstance(kind, type):
        return _read_part(kind, value)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(value)
    if kind is float and type(value) is int:
        return float(value)
    if type(value) is not kind:
        raise TypeError(f"{value!r} is no {kind}.")
    return value


def _read_tuple(kinds: tuple[Any, ...], value: Any) -> tuple[Any, ...]:
    if not isinstance(value, list | tuple):
        raise TypeError(f"{value!r} is no list.")
    if kinds[1:] == (Ellipsis,):
        return tuple(_read(kinds[0], each) for each in value)
    return tuple(_read(kind, each) for kind, each in zip(kinds, value, strict=True))


def _read_part(kind: type, value: Any) -> Any:
    hints, names = get_type_hints(kind), {one.name: one for one in fields(kind)}
    if not isinstance(value, dict) or set(value) - set(names):
        raise TypeError(f"{value!r} is no {kind.__name__}.")
    left_out = [name for name, one in names.items() if name not in value]
    if any(names[name].default is MISSING for name in left_out):
        raise KeyError(left_out[0])
    return kind(**{name: _read(hints[name], each) for name, each in value.items()})
