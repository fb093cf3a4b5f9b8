"""The rule book's word on a roster, gravest first: the one way every place asks it.

Sign-up and the liaison's check ask `admission` before there is a roster; the
roster page, a roster edited by hand, publishing and the day itself ask here.
"""

from collections.abc import Iterable
from dataclasses import replace

from scheduling.domain.admission import FIRST_AID, SUPERVISION, check_admission
from scheduling.domain.hand_edit import Left, let_go, rounds_left
from scheduling.domain.problem import RosterProblem
from scheduling.domain.remedies import add_remedies
from scheduling.domain.roster import Roster
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations

COMPANY = frozenset((*SUPERVISION, FIRST_AID))
SEVERITIES = (Severity.BLOCKS, Severity.WARNS, Severity.NOTES)


def sort_gravest(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with what blocks first; otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity)))


def judge_roster(
    problem: RosterProblem, roster: Roster, *, remedies: bool = False
) -> tuple[Finding, ...]:
    """Return every finding on a roster, what hurts most first.

    Args:
        problem: Who may come, what there is to do, by which figures, on what day.
        roster: The roster, whoever made it.
        remedies: Whether to look for the smallest changes that clear what
            blocks; for a page that somebody reads, not for a yes or no.
    """
    conditions = all_conditions(problem)
    found = find_violations(problem, conditions, roster)
    return sort_gravest(add_remedies(problem, conditions, roster, found) if remedies else found)


def judge_day(
    problem: RosterProblem, roster: Roster, left: tuple[Left, ...]
) -> tuple[Finding, ...]:
    """Return the findings on the rounds that are left once some have gone.

    Args:
        problem: The day as planned.
        roster: The roster in use.
        left: Who left, each with the first round they are no longer there.

    Returns:
        Findings on these rounds and on the whole session, what hurts most
        first. Everybody still there is counted, at work or on a break: two
        supervising adults are needed while any young person is there.
    """
    rest, now = let_go(problem, roster, left)
    ahead = rounds_left(problem, left)
    rest, now = _without_those_gone(rest, now, ahead)
    found = [
        f for f in judge_roster(rest, now, remedies=True) if f.round is None or f.round in ahead
    ]
    known = {finding.rule for finding in found}
    everyone = tuple(p.id for p in rest.people if any(p.present[r] for r in ahead))
    company = check_admission(_from_round(rest, ahead), everyone).findings if everyone else ()
    # Those without a task stand in no crew; they are counted with all who are there.
    found += [
        f
        for f in company
        if f.severity is Severity.BLOCKS and f.rule in COMPANY and f.rule not in known
    ]
    return sort_gravest(found)


def _without_those_gone(
    problem: RosterProblem, roster: Roster, ahead: tuple[int, ...]
) -> tuple[RosterProblem, Roster]:
    """Return the day without those who are in none of the rounds ahead: nobody counts on them."""
    there = {p.id for p in problem.people if any(p.present[r] for r in ahead)}
    people = tuple(person for person in problem.people if person.id in there)
    places = tuple(cell for cell in roster.assignments if cell.person in there)
    return replace(problem, people=people), Roster(places, roster.units)


def _from_round(problem: RosterProblem, ahead: tuple[int, ...]) -> RosterProblem:
    """Return the problem with nobody there in the rounds that are over."""
    people = tuple(
        replace(p, present=tuple(here and r in ahead for r, here in enumerate(p.present)))
        for p in problem.people
    )
    return replace(problem, people=people)
