"""What holds in any roster, whatever the rule book says.

Known ids, one task in a round, only people who are there, whole units that are
neither more than the task's nor more than its crews had time for. `verify`
calls this first; safety rules are not its business.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable

from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.points import POINTS_PER_ADULT_MIN, points_of
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.wording import list_titles, stop

SOURCE = "The meaning of a roster"
KNOWN, ONE_TASK, PRESENT, UNITS = "IDS-1", "ONE-1", "PRE-1", "UNI-1"


def build_finding(
    rule: str,
    text: str,
    remedy: str,
    *,
    people: tuple[PersonId, ...] = (),
    task: TaskId | None = None,
    round_: int | None = None,
    required: int | None = None,
    found: int | None = None,
) -> Finding:
    """Return a finding about the shape of a roster; all of them block."""
    return Finding(
        rule, Severity.BLOCKS, text, SOURCE, remedy, people, task, round_, required, found
    )


def known_cells(problem: RosterProblem, roster: Roster) -> tuple[Assignment, ...]:
    """Return the assignments whose person, task and round the problem knows, once each."""
    people = {person.id for person in problem.people}
    tasks = {task.id for task in problem.tasks}
    known = {
        cell
        for cell in roster.assignments
        if cell.person in people and cell.task in tasks and 0 <= cell.round < problem.rounds
    }
    return tuple(sorted(known, key=lambda cell: (cell.round, cell.task, cell.person)))


def find_shape_findings(problem: RosterProblem, roster: Roster) -> tuple[Finding, ...]:
    """Return what is wrong with the roster before any rule is asked.

    Args:
        problem: Who may come and what there is to do.
        roster: The roster to judge, from the planner, a file or a person's hand.

    Returns:
        Findings that all block, in no particular order of gravity.
    """
    cells = known_cells(problem, roster)
    return (
        *_unknown(problem, roster),
        *_two_tasks(problem, cells),
        *_absent(problem, cells),
        *_wrong_units(problem, roster),
        *_units_without_time(problem, roster, cells),
    )


def _unknown(problem: RosterProblem, roster: Roster) -> Iterable[Finding]:
    people = {person.id for person in problem.people}
    tasks = {task.id for task in problem.tasks}
    remedy = "Leave the line out, or make the roster anew from the current sign-ups."
    used = [(cell.task, cell.round) for cell in roster.assignments]
    used += [(done.task, done.round) for done in roster.units]
    for person in sorted({cell.person for cell in roster.assignments} - people):
        text = f"The roster names person {person}, whom this session does not know."
        yield build_finding(KNOWN, text, remedy, people=(person,))
    for task in sorted({task for task, _ in used} - tasks):
        text = f"The roster names task {task}, which this session does not have."
        yield build_finding(KNOWN, text, remedy, task=task)
    for round_ in sorted({r for _, r in used if not 0 <= r < problem.rounds}):
        text = f"The roster names round {round_ + 1}; the session has {problem.rounds}."
        yield build_finding(KNOWN, text, remedy, round_=round_)


def _two_tasks(problem: RosterProblem, cells: tuple[Assignment, ...]) -> Iterable[Finding]:
    names = {person.id: person.name for person in problem.people}
    titles = {task.id: task.title for task in problem.tasks}
    at: dict[tuple[PersonId, int], list[TaskId]] = defaultdict(list)
    for cell in cells:
        at[cell.person, cell.round].append(cell.task)
    for (person, round_), tasks in at.items():
        if len(tasks) > 1:
            doing = list_titles([titles[task] for task in tasks], most=len(tasks))
            text = f"{names[person]} has {len(tasks)} tasks in round {round_ + 1}: {doing}."
            yield build_finding(
                ONE_TASK,
                text,
                f"Take {names[person]} out of all but one of them.",
                people=(person,),
                task=tasks[0],
                round_=round_,
                required=1,
                found=len(tasks),
            )


def _absent(problem: RosterProblem, cells: tuple[Assignment, ...]) -> Iterable[Finding]:
    people = {person.id: person for person in problem.people}
    titles = {task.id: task.title for task in problem.tasks}
    for cell in cells:
        person = people[cell.person]
        if not person.present[cell.round]:
            text = (
                f"{person.name} is not there in round {cell.round + 1} and has "
                f"“{titles[cell.task]}”."
            )
            yield build_finding(
                PRESENT,
                text,
                f"Give round {cell.round + 1} of {stop(person.name)[:-1]} to somebody else.",
                people=(person.id,),
                task=cell.task,
                round_=cell.round,
            )


def _wrong_units(problem: RosterProblem, roster: Roster) -> Iterable[Finding]:
    tasks = {task.id: task for task in problem.tasks}
    lines = Counter((done.task, done.round) for done in roster.units)
    for (task_id, round_), count in sorted(lines.items()):
        if count > 1 and task_id in tasks:
            text = f"Round {round_ + 1} counts “{tasks[task_id].title}” {count} times."
            remedy = "Keep one line for each task and round."
            yield build_finding(UNITS, text, remedy, task=task_id, round_=round_, found=count)
    totals: Counter[TaskId] = Counter()
    for done in roster.units:
        task = tasks.get(done.task)
        if task is None:
            continue
        if not isinstance(done.units, int) or isinstance(done.units, bool) or done.units < 0:
            text = (
                f"“{task.title}” has {done.units} × {task.unit} in round {done.round + 1}; units "
                "are whole and not below 0."
            )
            remedy = "Enter a whole number."
            yield build_finding(UNITS, text, remedy, task=task.id, round_=done.round)
        else:
            totals[task.id] += done.units
    for task_id, total in sorted(totals.items()):
        task = tasks[task_id]
        if total > task.units:
            text = f"“{task.title}” has {task.units} × {task.unit}; the roster does {total}."
            remedy = "Take the units too many out."
            yield build_finding(UNITS, text, remedy, task=task_id, required=task.units, found=total)


def _units_without_time(
    problem: RosterProblem, roster: Roster, cells: tuple[Assignment, ...]
) -> Iterable[Finding]:
    points = {person.id: points_of(problem, person) for person in problem.people}
    put_in: Counter[tuple[TaskId, int]] = Counter()
    done: Counter[tuple[TaskId, int]] = Counter()
    for cell in cells:
        put_in[cell.task, cell.round] += points[cell.person]
    for line in roster.units:
        done[line.task, line.round] += line.units
    for task in problem.tasks:
        finding = _first_round_without_time(problem, task, put_in, done)
        if finding is not None:
            yield finding


def _first_round_without_time(
    problem: RosterProblem,
    task: CrewTask,
    put_in_at: Counter[tuple[TaskId, int]],
    done_at: Counter[tuple[TaskId, int]],
) -> Finding | None:
    """Return the first round by whose end more is done than the crews had time for."""
    put_in = needed = 0
    for round_ in range(problem.rounds):
        put_in += put_in_at[task.id, round_]
        needed += done_at[task.id, round_] * task.points_per_unit
        if needed > put_in:
            text = (
                f"By the end of round {round_ + 1} the units of “{task.title}” take "
                f"{_effort(problem, needed)}; its crews put in {_effort(problem, put_in)}."
            )
            return build_finding(
                UNITS,
                text,
                "Plan fewer units, or give the task more people in earlier rounds.",
                task=task.id,
                round_=round_,
                required=needed,
                found=put_in,
            )
    return None


def _effort(problem: RosterProblem, points: int) -> str:
    """Return points as people read them: as minutes, unless a document gave its own points."""
    if problem.points_by_band_per_round is not None:
        return f"{points} points"
    return f"{points / POINTS_PER_ADULT_MIN:g} adult minutes"
