"""Which cells are forbidden outright, and why. Knows no solver."""

from collections.abc import Iterable

from scheduling.domain.condition import Condition, Forbid, binding_conditions
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import RosterProblem

Cell = tuple[PersonId, TaskId, int]


def forbidden_cells(problem: RosterProblem, conditions: Iterable[Condition]) -> frozenset[Cell]:
    """Return every cell that some Forbid names."""
    everyone = tuple(person.id for person in problem.people)
    every_task = tuple(task.id for task in problem.tasks)
    every_round = tuple(range(problem.rounds))
    return frozenset(
        (person, task, round_)
        for condition in binding_conditions(conditions)
        if isinstance(condition, Forbid)
        for person in (everyone if condition.people is None else condition.people)
        for task in (every_task if condition.tasks is None else condition.tasks)
        for round_ in (every_round if condition.rounds is None else condition.rounds)
    )


def forbidding_reasons(
    problem: RosterProblem, conditions: Iterable[Condition], task: TaskId
) -> tuple[str, ...]:
    """Return the reasons that keep people from a task, those that keep out most first."""
    present = {person.id for person in problem.people if any(person.present)}
    kept_out: dict[str, int] = {}
    for condition in conditions:
        if isinstance(condition, Forbid) and (condition.tasks is None or task in condition.tasks):
            named = present if condition.people is None else present & set(condition.people)
            kept_out[condition.reason.text] = kept_out.get(condition.reason.text, 0) + len(named)
    return tuple(sorted(kept_out, key=lambda text: (-kept_out[text], text)))
