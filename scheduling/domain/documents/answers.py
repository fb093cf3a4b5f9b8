"""From what the planner answers to a document's answer, and from an answer to a roster or plan.

Not for judging: `judge_day`, `judge_season`.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from scheduling.domain.documents.day_case import DayCase
from scheduling.domain.documents.day_roster import DayAnswer
from scheduling.domain.documents.season_case import SeasonCase
from scheduling.domain.documents.season_plan import SeasonAnswer
from scheduling.domain.people import ItemId, PersonId, SessionId, TaskId
from scheduling.domain.roster import (
    Assignment,
    Roster,
    RosterResult,
    SolveStatus,
    TaskUnits,
    Value,
)
from scheduling.domain.season import PlannedUnits, SeasonResult


def answer_day(case: DayCase, result: RosterResult, seconds: float) -> DayAnswer:
    """Return the planner's result in the document's words.

    Args:
        case: The day as `build_day` made it.
        result: What `solve_roster` answered.
        seconds: Wall seconds from the start, reading included.
    """
    rounds = range(case.problem.rounds)
    rows: dict[str, list[str | None]] = {}
    done: dict[str, list[int]] = {}
    if result.roster is not None:
        rows = {name: [None for _ in rounds] for name in case.people}
        done = {name: [0 for _ in rounds] for name in case.tasks}
        for cell in result.roster.assignments:
            rows[case.person_name(cell.person)][cell.round] = case.task_name(cell.task)
        for part in result.roster.units:
            done[case.task_name(part.task)][part.round] += part.units
    return DayAnswer(
        problem=case.document.name,
        status=result.status,
        assignments=tuple((name, tuple(row)) for name, row in rows.items()),
        units=tuple((name, tuple(row)) for name, row in done.items()),
        objective=_shift(case, result.value),
        bound=_shift(case, result.bound),
        seconds=round(seconds, 3),
        reasons=result.conflicts if result.status is SolveStatus.IMPOSSIBLE else (),
    )


def _shift(case: DayCase, value: Value | None) -> Value | None:
    """Count what was published for tasks that are gone, which the planner leaves out."""
    if value is None or not case.changes_always:
        return value
    return replace(value, changes=value.changes + case.changes_always)


def roster_of(case: DayCase, answer: DayAnswer) -> Roster:
    """Return an answer as a roster of the case's problem.

    Args:
        case: The day as `build_day` made it.
        answer: Any answer to it. Lines that name nobody or nothing of the day
            are left out; the judge names them.
    """
    people = {name: number for number, name in enumerate(case.people, start=1)}
    tasks = {name: number for number, name in enumerate(case.tasks, start=1)}
    return Roster(tuple(_cells(people, tasks, answer)), tuple(_units(tasks, answer)))


def _cells(
    people: dict[str, int], tasks: dict[str, int], answer: DayAnswer
) -> Iterator[Assignment]:
    found = [
        (people[person], round_, tasks[task])
        for person, row in answer.assignments
        for round_, task in enumerate(row)
        if person in people and task in tasks
    ]
    for person, round_, task in sorted(found):
        yield Assignment(PersonId(person), round_, TaskId(task))


def _units(tasks: dict[str, int], answer: DayAnswer) -> Iterator[TaskUnits]:
    found = [
        (tasks[task], round_, units)
        for task, row in answer.units
        for round_, units in enumerate(row)
        if task in tasks and units
    ]
    for task, round_, units in sorted(found):
        yield TaskUnits(TaskId(task), round_, units)


def answer_season(case: SeasonCase, result: SeasonResult, seconds: float) -> SeasonAnswer:
    """Return the planner's season in the document's words.

    Args:
        case: The season as `build_season` made it.
        result: What `solve_season` answered.
        seconds: Wall seconds from the start, reading included.
    """
    rows: dict[str, dict[str, int]] = defaultdict(dict)
    for part in result.planned:
        name = case.session_name(part.session)
        rows[part.item][name] = rows[part.item].get(name, 0) + part.units
    return SeasonAnswer(
        problem=case.document.name,
        status=result.status,
        units=tuple((item, tuple(sorted(row.items()))) for item, row in sorted(rows.items())),
        objective=result.value,
        bound=result.bound if result.value is not None else None,
        seconds=round(seconds, 3),
        reasons=result.left_out if result.status is SolveStatus.IMPOSSIBLE else (),
    )


def plan_of(case: SeasonCase, answer: SeasonAnswer) -> tuple[PlannedUnits, ...]:
    """Return an answer as planned units of the case's problem.

    Args:
        case: The season as `build_season` made it.
        answer: Any answer to it; lines that name nothing of the season are left out.
    """
    numbers = {name: SessionId(n) for n, name in enumerate(case.sessions, start=1)}
    items = {item.id for item in case.document.items}
    found = (
        (item, numbers[session], units)
        for item, row in answer.units
        for session, units in row
        if item in items and session in numbers and units
    )
    return tuple(PlannedUnits(ItemId(item), session, n) for item, session, n in sorted(found))
