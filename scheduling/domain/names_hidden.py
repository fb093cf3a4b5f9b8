"""A problem in which nobody is named but those who ask, for answers to people at the gate.

Reasons list names so that a coordinator can act on them. Volunteers, guardians
and liaisons are told of others by number alone.
"""

from collections.abc import Collection
from dataclasses import replace

from scheduling.domain.people import PersonId
from scheduling.domain.problem import Group, RosterProblem


def hide_names(problem: RosterProblem, keep: Collection[PersonId] = ()) -> RosterProblem:
    """Return the problem with everybody's name but those to keep put as a number.

    Args:
        problem: The session with the names that may be printed for a coordinator.
        keep: Those whose own business it is: they who ask, and theirs.
    """
    own_groups = {person.group or person.staff_of for person in problem.people if person.id in keep}
    people = tuple(
        person
        if person.id in keep
        else replace(person, name=f"{'young person' if person.is_young else 'volunteer'} {number}")
        for number, person in enumerate(problem.people, start=1)
    )
    groups = tuple(
        group if group.id in own_groups else Group(group.id, f"class {number}")
        for number, group in enumerate(problem.groups, start=1)
    )
    return replace(problem, people=people, groups=groups)
