"""A published roster looked up the ways sheets need it.

Built once per pack, so that a large day costs no repeated searching. Not for
wording or layout.
"""

from dataclasses import dataclass, replace

from orchard.domain.plan import PlannedTask
from orchard.domain.unit_words import say_in
from orchard.domain.units import System
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.published import DayTask, PublishedRoster, RosterPerson
from scheduling.sheets.words import task_letter


@dataclass(frozen=True, slots=True)
class NamedTask:
    """A task of the day with the letter it goes by on paper."""

    letter: str
    day_task: DayTask


@dataclass(frozen=True, slots=True)
class Day:
    """The roster with its tasks lettered and its crews gathered.

    Rounds count from 0 as in the roster; `crews` holds no empty crew.
    """

    roster: PublishedRoster
    tasks: tuple[NamedTask, ...]
    people: dict[PersonId, RosterPerson]
    crews: dict[tuple[TaskId, int], tuple[RosterPerson, ...]]
    units: dict[tuple[TaskId, int], int]

    @property
    def round_count(self) -> int:
        """Number of rounds."""
        return len(self.roster.session.rounds)

    def find_by_key(self, key: str) -> NamedTask | None:
        """Return the day's task with this plan key, if it is on the roster."""
        return next((task for task in self.tasks if task.day_task.task.key == key), None)

    def rounds_of(self, task: TaskId) -> tuple[int, ...]:
        """Return the rounds in which anyone is at the task."""
        return tuple(r for r in range(self.round_count) if (task, r) in self.crews)


def build_day(roster: PublishedRoster) -> Day:
    """Return the lookups of a published roster.

    A person on the roster but not in its list of people is left out: nothing
    printable is known of them. The tasks' sentences come in the roster's units.
    """
    if roster.system is System.US:
        said = (replace(one, task=_say_task(one.task, roster.system)) for one in roster.tasks)
        roster = replace(roster, tasks=tuple(said))
    people = {person.id: person for person in roster.people}
    gathered: dict[tuple[TaskId, int], list[RosterPerson]] = {}
    for assignment in sorted(
        roster.roster.assignments, key=lambda item: (item.task, item.round, item.person)
    ):
        if assignment.person in people:
            crew = gathered.setdefault((assignment.task, assignment.round), [])
            crew.append(people[assignment.person])
    units: dict[tuple[TaskId, int], int] = {}
    for done in roster.roster.units:
        place = (done.task, done.round)
        units[place] = units.get(place, 0) + done.units
    return Day(
        roster=roster,
        tasks=tuple(NamedTask(task_letter(i), task) for i, task in enumerate(roster.tasks)),
        people=people,
        crews={place: tuple(crew) for place, crew in gathered.items()},
        units=units,
    )


def _say_task(task: PlannedTask, system: System) -> PlannedTask:
    return replace(
        task,
        title=say_in(task.title, system),
        where=say_in(task.where, system),
        steps=tuple(say_in(step, system) for step in task.steps),
        cautions=tuple(replace(one, text=say_in(one.text, system)) for one in task.cautions),
    )
