"""The small closed vocabulary a rule speaks.

A rule emits conditions; `planner.translate` turns each kind into constraints;
`verify` evaluates the same kinds in plain Python; `planner.explain` prints
their reasons. A new kind needs all three, each tested.

A *cell* is (person, task, round): the person works at the task in the round.
`people`, `tasks` and `rounds` select cells; None means every one of them.
Cells are gathered into *groups* by `per`.

Only a condition that blocks binds the planner; one that warns or notes is
reported by `verify` and constrains nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.ratios import adults_by_ratio
from scheduling.domain.rule_set import Combining

Counted = tuple[PersonId, int]  # a person and how much each of their cells counts


class Per(StrEnum):
    """How cells are gathered before they are counted."""

    CREW = "crew"  # one group for each task and round
    ZONE = "zone"  # one group for each zone and round: crews in sight of each other
    ROUND = "round"  # one group for each round
    PERSON = "person"  # one group for each person, over the rounds named
    SESSION = "session"  # everything in one group


class Severity(StrEnum):
    """What a finding does."""

    BLOCKS = "blocks"
    WARNS = "warns"
    NOTES = "notes"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a condition is there, in words a coordinator can act on.

    `text` is a whole sentence with names filled in; `remedy` says what would
    clear it, or is empty; `source` names the publication or says "proposed";
    `severity` is what a finding of it does.
    """

    rule: str
    text: str
    source: str
    remedy: str = ""
    severity: Severity = Severity.BLOCKS


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
class Section:
    """Young people of whom one adult may supervise `per_adult`; 0 is no number.

    `plus` adults are added, and at least `least` needed, where any of them is.
    """

    people: tuple[PersonId, ...]
    per_adult: int
    plus: int = 0
    least: int = 0


@dataclass(frozen=True, slots=True)
class Supervised:
    """A group with young people in it holds enough of `adults`.

    The sections there ask for adults in the way `combining` says (see
    `adults_asked`), `plus` are added, and `least` is the floor. `tasks` and
    `rounds` select cells; adults at the tasks `not_at` do not count.
    """

    reason: Reason
    adults: tuple[PersonId, ...]
    sections: tuple[Section, ...]
    combining: Combining
    plus: int
    least: int
    per: Per
    rounds: tuple[int, ...] | None = None
    not_at: tuple[TaskId, ...] = ()
    tasks: tuple[TaskId, ...] | None = None


def adults_asked(condition: Supervised, counts: tuple[int, ...]) -> int:
    """Return the adults a group asks for, in whole numbers throughout.

    Args:
        condition: Its sections, combining, plus and floor.
        counts: How many of each section are in the group, in their order.

    Returns:
        0 where nobody is. Else the ratio's answer (sum: each section's share
        added, rounded up once; youngest: all at the smallest ratio there;
        sections: each rounded up by itself) and all that is added, or the
        largest floor if that is more.
    """
    there = [(s, n) for s, n in zip(condition.sections, counts, strict=True) if n > 0]
    if not there:
        return 0
    asked = adults_by_ratio(condition.combining, [(n, s.per_adult) for s, n in there])
    asked += condition.plus + sum(section.plus for section, _ in there)
    return max(asked, condition.least, *(section.least for section, _ in there))


@dataclass(frozen=True, slots=True)
class OnlyWith:
    """A group with any of `people` in it has partners that count at least `least`.

    Partners at the tasks `not_at` count nothing.
    """

    reason: Reason
    people: tuple[PersonId, ...]
    partners: tuple[Counted, ...]
    least: int
    per: Per
    not_at: tuple[TaskId, ...] = ()


@dataclass(frozen=True, slots=True)
class Apart:
    """A group in which anyone works at any of `tasks` holds no cell of `people`."""

    reason: Reason
    people: tuple[PersonId, ...]
    tasks: tuple[TaskId, ...]
    per: Per


@dataclass(frozen=True, slots=True)
class MinutesAtMost:
    """Over the session each person spends at most `most` counted minutes.

    `minutes` gives, per task, the minutes counted for one round at it. What is
    counted may be something else that adds up, such as vibration points: then
    `counted` names it.
    """

    reason: Reason
    people: tuple[PersonId, ...]
    minutes: tuple[tuple[TaskId, int], ...]
    most: int
    counted: str = "minutes"


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


@dataclass(frozen=True, slots=True)
class Notice:
    """A finding about the day that no assignment can change.

    `verify` reports it with its reason's severity; the planner adds nothing.
    """

    reason: Reason
    required: int | None = None
    found: int | None = None
    people: tuple[PersonId, ...] = ()
    task: TaskId | None = None
    round: int | None = None


Condition = (
    Forbid
    | AtLeast
    | AtMost
    | Balance
    | Supervised
    | OnlyWith
    | Apart
    | MinutesAtMost
    | ToolsAtMost
    | CloseOut
    | InOrder
    | Notice
)


def binding_conditions(conditions: Iterable[Condition]) -> tuple[Condition, ...]:
    """Return the conditions a roster can obey and must: those that block, notices left out."""
    return tuple(
        condition
        for condition in conditions
        if condition.reason.severity is Severity.BLOCKS and not isinstance(condition, Notice)
    )
