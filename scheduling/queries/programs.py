"""Reads what the published roster gives one household to do, round by round.

The same lines as in their invites: no other young person is named in them.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.invites.program import build_person_program
from scheduling.models import Roster
from scheduling.queries.rosters import load_printed


@dataclass(frozen=True, slots=True)
class PersonProgram:
    """One person's day: their role, then a line for each round."""

    name: str
    lines: tuple[str, ...]


def load_programs(session_id: int, person_ids: Iterable[int]) -> tuple[PersonProgram, ...]:
    """Return the programs of those of these people who are on the published roster, by name."""
    published = Roster.objects.filter(
        session_id=session_id, state=Roster.State.PUBLISHED
    ).values_list("pk", flat=True)
    wanted = set(person_ids)
    if not wanted or not published:
        return ()
    roster = load_printed(published[0])
    on_it = {assignment.person for assignment in roster.roster.assignments}
    return tuple(
        PersonProgram(person.name, build_person_program(roster, person))
        for person in sorted(roster.people, key=lambda person: (person.name, person.id))
        if person.id in wanted and person.id in on_it
    )
