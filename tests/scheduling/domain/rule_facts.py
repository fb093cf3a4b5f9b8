"""What is known of a small day, for the rules that read it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from scheduling.domain.condition import Severity
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule import Finding


def knowing(problem: RosterProblem, **facts: Any) -> RosterProblem:
    """Return the day with some facts known."""
    return replace(problem, facts=DayFacts(**facts))


def grades(findings: Sequence[Finding]) -> list[str]:
    """Return the severities of findings, as found."""
    return [finding.severity.value for finding in findings]


def blocking(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings that block."""
    return [finding for finding in findings if finding.severity is Severity.BLOCKS]
