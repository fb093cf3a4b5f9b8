"""What the coordinator has fixed, as conditions like any other.

Not for the published roster: keeping that is an aim, not a condition.
"""

from scheduling.domain.condition import AtLeast, Condition, Forbid, Per, Reason
from scheduling.domain.problem import RosterProblem

LOCK_RULE = "LOCK"


def lock_conditions(problem: RosterProblem) -> tuple[Condition, ...]:
    """Return one condition for each lock, in order of person and round.

    Args:
        problem: Whose locks name people and tasks it knows (`check_problem`).

    Returns:
        For a fixed task, a condition that the person does it in that round; for
        a fixed rest, that they do nothing in it.
    """
    people = {person.id: person for person in problem.people}
    tasks = {task.id: task for task in problem.tasks}
    conditions: list[Condition] = []
    for person_id, round_, task_id in sorted(
        problem.locks, key=lambda lock: (lock[0], lock[1], -1 if lock[2] is None else lock[2])
    ):
        person = people[person_id]
        where = "free" if task_id is None else f"at “{tasks[task_id].name}”"
        text = f"{person.name} is fixed {where} in round {round_ + 1}"
        text += "." if person.present[round_] or task_id is None else ", but is not there then."
        reason = Reason(LOCK_RULE, text, "the coordinator", "Release this lock.")
        if task_id is None:
            conditions.append(Forbid(reason, (person_id,), None, (round_,)))
        else:
            conditions.append(
                AtLeast(reason, 1, (person_id,), (task_id,), Per.PERSON, (round_,), always=True)
            )
    return tuple(conditions)
