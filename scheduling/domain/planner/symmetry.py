"""People alike in everything that matters, put in a fixed order.

Swapping two such people gives the same roster under other names; the solver
need not try both. Not for deciding who is like whom in the rules' sense: a
class here is only sound because every condition and the objective were read.

Source of the idea: ordering interchangeable columns, common in constraint
programming; no single publication is followed.
"""

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    Condition,
    Counted,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Supervised,
    binding_conditions,
)
from scheduling.domain.people import OLD_HAND, PersonId
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.linear import total
from scheduling.domain.points import points_of
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.wishes import find_leaning, find_pairs


def alike_people(
    problem: RosterProblem, conditions: tuple[Condition, ...]
) -> tuple[tuple[PersonId, ...], ...]:
    """Return the classes of two or more people whom any roster may swap.

    Args:
        problem: The day.
        conditions: All conditions, those from locks included.

    Returns:
        Classes in order of their first person, each sorted.
    """
    return tuple(alike for alike in find_kinds(problem, conditions) if len(alike) > 1)


def find_kinds(
    problem: RosterProblem, conditions: tuple[Condition, ...], *, for_work_alone: bool = False
) -> tuple[tuple[PersonId, ...], ...]:
    """Return everybody, gathered into kinds of people whom any roster may swap.

    Args:
        problem: The day.
        conditions: All conditions, those from locks included.
        for_work_alone: Whether only the value of work done must stay the same when
            people are swapped, and not comfort and what was published.

    Returns:
        Kinds in order of their first person, each sorted; most hold one person.
    """
    parts: dict[PersonId, list[str]] = {person.id: [] for person in problem.people}
    for number, condition in enumerate(binding_conditions(conditions)):
        _note(condition, parts, f"#{number}")
    paired = {person for pair in find_pairs(problem.people) for person in pair}
    kinds: dict[tuple[object, ...], list[PersonId]] = defaultdict(list)
    for person in sorted(problem.people, key=lambda person: person.id):
        own: tuple[object, ...] = (person.present, points_of(problem, person))
        if not for_work_alone:
            own += (*_comfort_facts(problem, person), person.id if person.id in paired else 0)
        kinds[own, tuple(sorted(parts[person.id]))].append(person.id)
    return tuple(tuple(kind) for kind in kinds.values())


def first_of_kinds(kinds: Sequence[tuple[PersonId, ...]]) -> dict[PersonId, PersonId]:
    """Return for each person the first of their kind, who stands for all of it in a model."""
    return {person: kind[0] for kind in kinds for person in kind}


def _comfort_facts(problem: RosterProblem, person: Person) -> tuple[object, ...]:
    published = sorted(
        (round_, -1 if task is None else task)
        for who, round_, task in problem.published
        if who == person.id
    )
    leaning = sorted((task.id, find_leaning(person, task, problem.on)) for task in problem.tasks)
    experience = 0 if person.experience == 0 else 2 if person.experience >= OLD_HAND else 1
    return (tuple(published), tuple(leaning), experience)


def _note(condition: Condition, parts: dict[PersonId, list[str]], number: str) -> None:
    """Write down how each person figures in one condition, known by its number.

    A condition that judges each person alone is written without the people it
    names, so that one emitted for each of a class counts as the same.
    """
    match condition:
        case Forbid():
            _each(parts, condition.people, f"F{condition.tasks}{condition.rounds}")
        case MinutesAtMost():
            _each(parts, condition.people, f"M{sorted(condition.minutes)}{condition.most}")
        case AtMost(per=Per.PERSON):
            text = f"A{condition.most}{condition.tasks}{condition.rounds}"
            _each(parts, condition.people, text)
        case AtLeast(per=Per.PERSON):
            text = f"L{condition.least}{condition.tasks}{condition.rounds}{condition.always}"
            _each(parts, condition.people, text)
        case AtMost() | AtLeast():
            _each(parts, condition.people, f"G{number}")
        case Balance():
            _counted(parts, condition.supply, f"S{number}")
            _counted(parts, condition.demand, f"D{number}")
        case Supervised():
            _each(parts, condition.adults, f"S{number}")
            for place, section in enumerate(condition.sections):
                _each(parts, section.people, f"Y{place}{number}")
        case Apart():
            _each(parts, condition.people, f"N{condition.tasks}{condition.per}")
        case OnlyWith():
            with_whom = f"{condition.partners}{condition.least}{condition.per}{condition.not_at}"
            _each(parts, condition.people, f"W{with_whom}")
            _counted(parts, condition.partners, f"P{number}")
        case _:
            return


def _each(parts: dict[PersonId, list[str]], people: tuple[PersonId, ...] | None, text: str) -> None:
    for person in parts if people is None else sorted(set(people)):
        if person in parts:
            parts[person].append(text)


def _counted(parts: dict[PersonId, list[str]], counts: tuple[Counted, ...], text: str) -> None:
    for person, count in sorted(dict(counts).items()):
        if person in parts and count:
            parts[person].append(f"{text}×{count}")


def order_alike(day: DayModel, classes: tuple[tuple[PersonId, ...], ...]) -> None:
    """Order people alike by what they do in the first round they are there for.

    Comparing all rounds leaves less to try, but found less in single runs of
    8 s on two busy cores: a class of 24 and 20 others, other work 4248 against
    4758, and 4788 with no order at all. Too few runs to say more than that.
    """
    place = {task.id: index for index, task in enumerate(day.tasks, start=1)}
    for alike in classes:
        rounds = sorted({r for person, _, r in day.works if person == alike[0]})
        if not rounds:
            continue
        at = [
            total(
                place[task.id] * day.works[person, task.id, rounds[0]]
                for task in day.tasks
                if (person, task.id, rounds[0]) in day.works
            )
            for person in alike
        ]
        for earlier, later in pairwise(at):
            day.model.add(earlier <= later)
