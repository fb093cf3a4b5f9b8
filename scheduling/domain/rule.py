"""What a rule must offer, and what a broken one is reported as.

A rule is a module in `rules/` with one object satisfying `Rule`; it never
judges and never touches the solver: it emits conditions.
"""

from dataclasses import dataclass
from typing import Protocol

from scheduling.domain.condition import Condition, Severity
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import RosterProblem

__all__ = ("Finding", "Rule", "Severity")


@dataclass(frozen=True, slots=True)
class Finding:
    """A rule that is not met, where, by how much, and what would clear it."""

    rule: str
    severity: Severity
    text: str
    source: str
    remedy: str
    people: tuple[PersonId, ...] = ()
    task: TaskId | None = None
    round: int | None = None
    required: int | None = None
    found: int | None = None


class Rule(Protocol):
    """One rule of the rule book."""

    code: str  # letters and number, never reused: "AGE-1"
    sentence: str  # the rule in one sentence, as the rule book prints it
    source: str
    status: str  # "published", "reprint", "common practice", "proposed"
    waivable: bool  # whether a finding may be waived, with a reason, by two people
    applies_to: str  # whom or what it is about, as the rule book prints it

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return what this rule demands of any roster of the problem."""
        ...
