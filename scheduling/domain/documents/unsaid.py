"""What of a session's rules a `day-problem/1` cannot say, in sentences for who exports it.

Nothing is lost by it: an answer that comes back is judged by all of the rules.
"""

from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    CloseOut,
    Condition,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Supervised,
    ToolsAtMost,
    binding_conditions,
)
from scheduling.domain.documents.export_day import (
    POINTS_RULE,
    Barred,
    find_barred,
    is_rest,
    is_restricted,
    named_skill,
    oldest_refused,
    task_skills,
)
from scheduling.domain.people import Band, band_of
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.rule_set import Combining
from scheduling.domain.rules import get_rule
from scheduling.domain.wording import plural

CREW_WITH_YOUNG = 3  # the format's own


def list_unsaid(problem: RosterProblem, conditions: tuple[Condition, ...]) -> tuple[str, ...]:
    """Return a sentence for each rule that the document does not hold whole.

    Args:
        problem: The session.
        conditions: What the rule book demands of it.
    """
    binding = binding_conditions(conditions)
    barred = find_barred(problem, binding)
    codes = {c.reason.rule for c in binding if not _is_said(problem, binding, barred, c)}
    found = [f"{code}: {get_rule(code).sentence}" for code in sorted(codes)]
    if problem.locks:
        found.append(f"{plural(len(problem.locks), 'place')} that you fixed: not in the document.")
    if any(person.is_young and person.past is not None for person in problem.people):
        found.append("What young people have had so far this season: kept out of the document.")
    if any(person.group is not None and not person.is_young for person in problem.people):
        found.append("Pupils of 18 are supervised here; the document takes them for adults.")
    return tuple(found)


def _is_said(
    problem: RosterProblem, binding: tuple[Condition, ...], barred: Barred, condition: Condition
) -> bool:
    match condition:
        case Forbid():
            return _is_refusal_said(problem, barred, condition)
        case AtLeast():
            return _is_least_said(problem, binding, barred, condition)
        case AtMost():
            return _is_most_said(problem, condition)
        case Supervised():
            return _is_ratio_said(condition)
        case OnlyWith():
            return _is_company_said(problem, condition)
        case MinutesAtMost():
            return condition.reason.rule == POINTS_RULE and all(
                _task(problem, task).skills for task, _ in condition.minutes
            )
        case ToolsAtMost():
            return True
        case CloseOut():
            offered = {task.id for task in problem.tasks}
            return {condition.opens, condition.closes} <= offered
    return False


def _task(problem: RosterProblem, wanted: int) -> CrewTask:
    return next(task for task in problem.tasks if task.id == wanted)


def _is_refusal_said(problem: RosterProblem, barred: Barred, condition: Forbid) -> bool:
    """Say whether presence, age, restrictions or a crew of nobody say a refusal."""
    tasks = [t for t in problem.tasks if condition.tasks is None or t.id in condition.tasks]
    if len(tasks) == len(problem.tasks):
        return True
    if condition.rounds is not None:
        return False
    named = None if condition.people is None else set(condition.people)
    people = [person for person in problem.people if named is None or person.id in named]
    return all(
        task.id in barred.tasks
        or is_restricted(person, task)
        or person.age < oldest_refused(problem, barred, task)
        or barred.rounds.get(person.id, frozenset()) >= set(range(problem.rounds))
        for task in tasks
        for person in people
    )


def _is_least_said(
    problem: RosterProblem, binding: tuple[Condition, ...], barred: Barred, condition: AtLeast
) -> bool:
    if condition.per is not Per.CREW or condition.always or condition.rounds is not None:
        return False
    if condition.people is None:  # the smallest crew
        return condition.tasks is not None
    if condition.reason.rule == "LED-1":
        return condition.least == 1
    if condition.tasks is None or len(condition.tasks) != 1:
        return False
    task = _task(problem, condition.tasks[0])
    age = oldest_refused(problem, barred, task)
    skill = named_skill(problem, condition, age)
    if skill is None:  # nobody counts: then the skill asked for must be one that nobody holds
        return task.id in barred.tasks or not condition.people
    return task_skills(problem, binding, task, age).get(skill, 0) >= condition.least


def _is_most_said(problem: RosterProblem, condition: AtMost) -> bool:
    heavy = {task.id for task in problem.tasks if task.heavy}
    tasks = None if condition.tasks is None else set(condition.tasks)
    match condition.reason.rule:
        case "CRW-1":
            return condition.people is None
        case "HVY-1":
            most = problem.policy.heavy_rounds_in_a_row
            return condition.rounds is not None and tasks == heavy and condition.most == most
        case "RST-1":
            return condition.rounds is None
        case "FA-1":
            return condition.people is not None and condition.most == len(condition.people) - 1
    return is_rest(problem, condition)


def _is_ratio_said(condition: Supervised) -> bool:
    """Say whether one sum of shares is all that a table asks of a crew, or a floor of a zone."""
    if condition.rounds is not None or condition.not_at or condition.tasks is not None:
        return False
    if condition.per is Per.ZONE:
        return all(section.per_adult == 0 for section in condition.sections)
    one_way = condition.combining is Combining.SUM or len(condition.sections) == 1
    return condition.per is Per.CREW and one_way


def _is_company_said(problem: RosterProblem, condition: OnlyWith) -> bool:
    people = {person.id: person for person in problem.people}
    match condition.reason.rule:
        case "SUP-3":
            return condition.least <= CREW_WITH_YOUNG
        case "GUA-1":
            return all(band_of(people[one].age) is Band.UNDER_12 for one in condition.people)
        case "GRP-1":
            return condition.per is Per.CREW
    return False
