"""Reads what is fixed of a session's roster, with names, and whether it still means anything."""

from dataclasses import dataclass

from scheduling.domain.people import PersonId, age_on
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import round_words
from scheduling.models import RosterLock
from scheduling.queries.names import printed_name

RESTS = "rests"
FIXED = "fixed"


@dataclass(frozen=True, slots=True)
class LockLine:
    """One fixed place as a page shows it. `why_not` is empty while it is in force."""

    id: int
    person: PersonId
    name: str
    round: int
    task_id: int | None
    task: str
    why_not: str = ""

    @property
    def mark(self) -> str:
        """The word, with its shape, that marks the place."""
        return RESTS if self.task_id is None else FIXED

    @property
    def number(self) -> int:
        """The round as people count it."""
        return self.round + 1


def load_locks(session_id: int, problem: RosterProblem) -> tuple[LockLine, ...]:
    """Return a session's fixed places, by round and name.

    Args:
        session_id: The session.
        problem: Its problem: whoever or whatever it does not know any more makes
            a fixed place that is not in force.
    """
    rows = RosterLock.objects.filter(session_id=session_id).select_related(
        "person", "group", "task"
    )
    lines = [_line(row, problem) for row in rows]
    return tuple(sorted(lines, key=lambda line: (line.round, line.name, line.person)))


def _line(row: RosterLock, problem: RosterProblem) -> LockLine:
    names = {person.id: person.name for person in problem.people}
    titles = {int(task.id): task.name for task in problem.tasks}
    name = names.get(row.member_id) or _name_of_absent(row, problem)
    task = titles.get(row.task_id or 0) or (row.task.title if row.task else "")
    why_not = ""
    if row.member_id not in names:
        why_not = f"{name} does not come to {problem.name} any more."
    elif row.round >= problem.rounds:
        why_not = f"{problem.name} has no {round_words((row.round,))} any more."
    elif row.task_id is not None and row.task_id not in titles:
        why_not = f"“{task}” is not among the work offered on this day any more."
    return LockLine(row.pk, row.member_id, name, row.round, row.task_id, task, why_not)


def _name_of_absent(row: RosterLock, problem: RosterProblem) -> str:
    if row.person is None:
        return f"{row.group} {row.pupil}"
    age = age_on(row.person.birth_year, row.person.birth_month, problem.on)
    return printed_name(row.person, age)
