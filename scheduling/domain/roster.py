"""The frozen output of a roster: who works where in each round, and how much gets done."""

from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.people import PersonId, TaskId

ENGINE_VERSION = "1"


class SolveStatus(StrEnum):
    """How an answer ended. Never fold two into one."""

    BEST = "best"  # proven best at every stage
    GOOD = "good"  # stopped before the proof; the bound says how far it may be off
    IMPOSSIBLE = "impossible"  # proven: no answer obeys all conditions; conflicts say which
    UNDECIDED = "undecided"  # no answer found in time; nothing is proven


@dataclass(frozen=True, slots=True)
class Assignment:
    """One person at one task in one round."""

    person: PersonId
    round: int
    task: TaskId


@dataclass(frozen=True, slots=True)
class TaskUnits:
    """Whole units of a task finished in one round."""

    task: TaskId
    round: int
    units: int


@dataclass(frozen=True, slots=True)
class Roster:
    """Assignments and units of one session, sorted."""

    assignments: tuple[Assignment, ...]
    units: tuple[TaskUnits, ...]

    def crew(self, task: TaskId, round_: int) -> tuple[PersonId, ...]:
        """Return the people at a task in a round, in order of id."""
        return tuple(
            sorted(a.person for a in self.assignments if a.task == task and a.round == round_)
        )


@dataclass(frozen=True, slots=True)
class Value:
    """The staged objective, in strict order of importance.

    `required_left` and `changes` are better when smaller, the others when larger.
    """

    required_left: int
    other_done: int
    changes: int
    comfort: int


@dataclass(frozen=True, slots=True)
class RosterResult:
    """What the engine answers.

    `roster` is None for IMPOSSIBLE and UNDECIDED. `bound` is the best value not
    yet ruled out at each stage. `conflicts` are whole sentences, only for
    IMPOSSIBLE; `unfilled` explains work that stays undone and people who are idle.
    """

    status: SolveStatus
    roster: Roster | None
    value: Value | None
    bound: Value | None
    seconds: float
    seed: int
    engine: str = ENGINE_VERSION
    conflicts: tuple[str, ...] = ()
    unfilled: tuple[str, ...] = ()
