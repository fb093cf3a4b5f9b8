"""An answer document read back for a session or season it was exported from.

`roster_from` and `plan_from` turn the document's names into ids again, or say
in a sentence why they cannot. What the rules say of the result is for others.
"""

from scheduling.domain.documents.day_roster import DayAnswer
from scheduling.domain.documents.export_day import person_key, task_key
from scheduling.domain.documents.export_season import session_key
from scheduling.domain.documents.season_plan import SeasonAnswer
from scheduling.domain.errors import AnswerRefused
from scheduling.domain.people import ItemId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Assignment, Roster, SolveStatus, TaskUnits
from scheduling.domain.season import PlannedUnits, SeasonProblem
from scheduling.domain.wording import list_words

ANEW = "Export the document anew and solve it again."
MOST_NAMED = 6


def roster_from(problem: RosterProblem, answer: DayAnswer, *, name: str) -> Roster:
    """Return a day's answer as a roster of the session.

    Args:
        problem: The session as it is now.
        answer: The document that came back.
        name: What the session's documents are called.

    Raises:
        AnswerRefused: If it is for something else, holds no roster, or names
            people, tasks or rounds that the session does not have.
    """
    _refuse_other(answer.problem, name)
    _refuse_empty(answer.status, bool(answer.assignments), answer.reasons)
    people = {person_key(person.id): person.id for person in problem.people}
    tasks = {task_key(task.id): task.id for task in problem.tasks}
    named = {task for _, row in answer.assignments for task in row if task is not None}
    _refuse_unknown("people", {who for who, row in answer.assignments if any(row)} - set(people))
    _refuse_unknown(
        "tasks", (named | {task for task, row in answer.units if any(row)}) - set(tasks)
    )
    longest = max((len(row) for _, row in (*answer.assignments, *answer.units)), default=0)
    if longest > problem.rounds:
        raise AnswerRefused(
            f"The answer has {longest} rounds, the session has {problem.rounds}. {ANEW}"
        )
    return Roster(
        tuple(
            sorted(
                (
                    Assignment(people[who], round_, tasks[task])
                    for who, row in answer.assignments
                    for round_, task in enumerate(row)
                    if task is not None
                ),
                key=lambda cell: (cell.person, cell.round),
            )
        ),
        tuple(
            sorted(
                (
                    TaskUnits(tasks[task], round_, units)
                    for task, row in answer.units
                    for round_, units in enumerate(row)
                    if units
                ),
                key=lambda done: (done.task, done.round),
            )
        ),
    )


def plan_from(
    problem: SeasonProblem, answer: SeasonAnswer, *, name: str
) -> tuple[PlannedUnits, ...]:
    """Return a season's answer as planned units of the season.

    Args:
        problem: The season as it is now.
        answer: The document that came back.
        name: What the season's documents are called.

    Raises:
        AnswerRefused: If it is for something else, holds no plan, or names items
            or sessions that the season does not have ahead of it.
    """
    _refuse_other(answer.problem, name)
    _refuse_empty(answer.status, bool(answer.units), answer.reasons)
    sessions = {session_key(session.id): session.id for session in problem.sessions}
    items = {str(item.id) for item in problem.items}
    _refuse_unknown("work", {item for item, row in answer.units if row} - items)
    _refuse_unknown("sessions", {one for _, row in answer.units for one, _ in row} - set(sessions))
    found = (
        (item, sessions[session], units)
        for item, row in answer.units
        for session, units in row
        if units
    )
    return tuple(
        PlannedUnits(ItemId(item), session, units) for item, session, units in sorted(found)
    )


def _refuse_other(said: str, name: str) -> None:
    if said != name:
        raise AnswerRefused(
            f"The answer is for the document “{said}”; the document of this page is called "
            f"“{name}”. Load it where it belongs, or choose another file."
        )


def _refuse_empty(status: SolveStatus, has_any: bool, reasons: tuple[str, ...]) -> None:
    if has_any:
        return
    why = f" It says: {' '.join(reasons)}" if reasons else ""
    raise AnswerRefused(f"The answer is {status} and holds nothing to load.{why}")


def _refuse_unknown(what: str, names: set[str]) -> None:
    if names:
        listed = list_words(sorted(names), most=MOST_NAMED)
        raise AnswerRefused(
            f"The answer names {what} that are not here, or not any more: {listed}. {ANEW}"
        )
