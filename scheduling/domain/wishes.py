"""How gladly somebody is given a task: what they like, would learn, and are due this season.

Points of liking, for the comfort of a roster alone: they never open what a rule
refuses. Whoever wishes a skill they do not hold is glad of tasks that ask for it,
since a crew at them has somebody signed off. Not for who is new beside whom:
`planner.worth` counts that.
"""

from datetime import date

from scheduling.domain.past_share import lean_by_season
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


def find_leaning(person: Person, task: CrewTask, on: date) -> int:
    """Return how gladly a person is given a task for a round, in points of liking.

    Args:
        person: With what they like, wish to learn and have had so far.
        task: The work.
        on: The day, for the skills they hold.

    Returns:
        The liking of its kind, one for a wish it teaches, and what the season adds.
    """
    liking = dict(person.preferences).get(task.kind, 0)
    if person.past is None and not person.wished_skills:
        return liking
    teaches = bool(find_taught(person, task, on))
    due = lean_by_season(
        person.past, kind=task.kind, heavy=task.heavy, liking=liking, teaches=teaches
    )
    return liking + WISH * teaches + due
