"""The small closed vocabulary a rule speaks.

A rule emits conditions; `planner.translate` turns each kind into constraints;
`verify` evaluates the same kinds in plain Python; `planner.explain` prints
their reasons. A new kind needs all three, each tested.

A *cell* is (person, task, round): the person works at the task in the round.
`people`, `tasks` and `rounds` select cells; None means every one of them.
Cells are gathered into *groups* by `per`.
"""

from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.people import PersonId, TaskId

Counted = tuple[PersonId, int]  # a person and how much each of their cells counts


class Per(StrEnum):
    """How cells are gathered before they are counted."""

    CREW = "crew"  # one group for each task and round
    ZONE = "zone"  # one group for each zone and round: crews in sight of each other
    ROUND = "round"  # one group for each round
    PERSON = "person"  # one group for each person, over the rounds named
    SESSION = "session"  # everything in one group


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a condition is there, in words a coordinator can act on.

    `text` is a whole sentence with names filled in; `remedy` says what would
    clear it, or is empty; `source` names the publication or says "proposed".
    """

    rule: str
    text: str
    source: str
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Forbid:
    """No selected cell may be filled."""

    reason: Reason
    people: tuple[PersonId, ...] | None
    tasks: tuple[TaskId, ...] | None
    rounds: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class AtLeast:
    """Each group in which anyone works holds at least `least` cells of `people`.

    With `always` the group is judged even when nobody works in it.
    """

    reason: Reason
    least: int
    people: tuple[PersonId, ...] | None
    tasks: tuple[TaskId, ...] | None
    per: Per
    rounds: tuple[int, ...] | None = None
    always: bool = False


@dataclass(frozen=True, slots=True)
class AtMost:
    """Each group holds at most `most` selected cells."""

    reason: Reason
    most: int
    people: tuple[PersonId, ...] | None
    tasks: tuple[TaskId, ...] | None
    per: Per
    rounds: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Balance:
    """In each group, what `supply` counts is at least what `demand` counts.

    Integers stand for exact fractions over a common denominator.
    """

    reason: Reason
    supply: tuple[Counted, ...]
    demand: tuple[Counted, ...]
    per: Per


@dataclass(frozen=True, slots=True)
class OnlyWith:
    """A group with any of `people` in it has partners that count at least `least`."""

    reason: Reason
    people: tuple[PersonId, ...]
    partners: tuple[Counted, ...]
    least: int
    per: Per


@dataclass(frozen=True, slots=True)
class MinutesAtMost:
    """Over the session each person spends at most `most` counted minutes.

    `minutes` gives, per task, the minutes counted for one round at it.
    """

    reason: Reason
    people: tuple[PersonId, ...]
    minutes: tuple[tuple[TaskId, int], ...]
    most: int


@dataclass(frozen=True, slots=True)
class ToolsAtMost:
    """In each round the crews at work use at most `on_hand` of a tool.

    `uses` gives, per task, how many its crew uses.
    """

    reason: Reason
    tool: str
    on_hand: int
    uses: tuple[tuple[TaskId, int], ...]


@dataclass(frozen=True, slots=True)
class CloseOut:
    """`closes` fills what `opens` bored: never ahead, and all of it by the end.

    By the end of every round, units closed are at most the units opened by the
    end of the round before; at the end of the session the two are equal.
    """

    reason: Reason
    opens: TaskId
    closes: TaskId


@dataclass(frozen=True, slots=True)
class InOrder:
    """`then` is worked at only once `units` of `first` are done.

    By the end of the round before any crew stands at `then`, the session has
    finished at least `units` of `first`.
    """

    reason: Reason
    first: TaskId
    units: int
    then: TaskId


Condition = (
    Forbid
    | AtLeast
    | AtMost
    | Balance
    | OnlyWith
    | MinutesAtMost
    | ToolsAtMost
    | CloseOut
    | InOrder
)
