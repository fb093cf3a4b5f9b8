"""Reads the day as it is: the roster in use, and what the rules say once some have left."""

from dataclasses import dataclass

from scheduling.domain.errors import RosterUnknown
from scheduling.domain.hand_edit import Left, let_go, places_by_round, rounds_left
from scheduling.domain.judgement import judge_day
from scheduling.domain.people import PersonId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.rule import Finding
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster_value


@dataclass(frozen=True, slots=True)
class DayPerson:
    """Somebody of the day, as the page lists them: their task in each round, or none."""

    id: PersonId
    name: str
    group_name: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DayNow:
    """The day with some gone: who is left in the rounds ahead, and the findings on them."""

    people: tuple[DayPerson, ...]
    tasks: tuple[tuple[int, str], ...]
    rounds: int
    ahead: tuple[int, ...]
    left: tuple[tuple[str, int], ...]  # the class for a pupil, else the name
    findings: tuple[Finding, ...]


def judge_day_now(session_id: int, left: tuple[Left, ...]) -> DayNow:
    """Return what the rules say of the rest of the day once these have left.

    Args:
        session_id: The session.
        left: Who left, each with the first round they are no longer there.

    Raises:
        RosterUnknown: If the session has no roster yet.
        RosterError: If somebody or some round is not of the session.
    """
    roster = find_current_roster_value(session_id)
    if roster is None:
        raise RosterUnknown("There is no roster of this session yet. Propose one first.")
    problem = load_roster_problem(session_id)
    groups = {group.id: group.name for group in problem.groups}
    known = {
        person.id: person.name if person.group is None else groups.get(person.group, "")
        for person in problem.people
    }
    _, now = let_go(problem, roster, left)
    return DayNow(
        people=_people(problem, now),
        tasks=tuple((task.id, task.name) for task in problem.tasks),
        rounds=problem.rounds,
        ahead=rounds_left(problem, left),
        left=tuple((known[who], from_round) for who, from_round in left),
        findings=judge_day(problem, roster, left),
    )


def _people(problem: RosterProblem, roster: Roster) -> tuple[DayPerson, ...]:
    titles = {task.id: task.name for task in problem.tasks}
    groups = {group.id: group.name for group in problem.groups}
    places = places_by_round(roster)
    found = [
        DayPerson(
            id=person.id,
            name=person.name,
            group_name=groups.get(person.group, "") if person.group is not None else "",
            places=tuple(
                titles.get(places[r][person.id], "") if person.id in places.get(r, {}) else ""
                for r in range(problem.rounds)
            ),
        )
        for person in problem.people
    ]
    return tuple(sorted(found, key=lambda each: (each.group_name, each.name, each.id)))
