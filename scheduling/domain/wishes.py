"""How gladly somebody is given a task: what they like, would learn, and are due this season.

Points of liking, for the comfort of a roster alone: they never open what a rule
refuses. Whoever wishes a skill they do not hold is glad of tasks that ask for it,
since a crew at them has somebody signed off. Not for who is new beside whom:
`planner.worth` counts that.
"""

from collections.abc import Iterable
from datetime import date

from scheduling.domain.past_share import lean_by_season
from scheduling.domain.people import PersonId
from scheduling.domain.problem import CrewTask, Person

WISH = 1  # points of a wish to learn: less than a liking said outright, which is 2


def find_taught(person: Person, task: CrewTask, on: date) -> tuple[str, ...]:
    """Return the skills a task asks for that the person wishes and does not hold on the day."""
    if not person.wished_skills:
        return ()
    asked = {need.skill for need in task.skills if need.count > 0}
    return tuple(
        skill for skill in sorted(set(person.wished_skills) & asked) if not person.holds(skill, on)
    )


def find_liking(person: Person, task: CrewTask) -> int:
    """Return what a person says of a task: of its kind, and of heavy work where it is heavy."""
    return dict(person.preferences).get(task.kind, 0) + person.heavy_liking * task.heavy


def find_leaning(person: Person, task: CrewTask, on: date) -> int:
    """Return how gladly a person is given a task for a round, in points of liking.

    Args:
        person: With what they like, wish to learn and have had so far.
        task: The work.
        on: The day, for the skills they hold.

    Returns:
        The liking of its kind and of heavy work, one for a wish it teaches, and what the
        season adds.
    """
    liking = find_liking(person, task)
    if person.past is None and not person.wished_skills:
        return liking
    teaches = bool(find_taught(person, task, on))
    due = lean_by_season(
        person.past, kind=task.kind, heavy=task.heavy, liking=liking, teaches=teaches
    )
    return liking + WISH * teaches + due


def find_pairs(people: Iterable[Person]) -> tuple[tuple[PersonId, PersonId], ...]:
    """Return the pairs who both wish to be in one crew, each once, in order.

    A wish of one alone counts nothing: nobody is drawn to a crew by somebody else's.
    Each round in which a pair is in one crew is worth a point of liking.
    """
    wished = {(person.id, other) for person in people for other in person.companions}
    return tuple(
        sorted((one, other) for one, other in wished if one < other and (other, one) in wished)
    )
