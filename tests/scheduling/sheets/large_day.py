"""An invented day of any size, to see that paper keeps up with it."""

from datetime import UTC, datetime

from orchard.domain.place import Pocket
from orchard.domain.plan import Hole
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.published import DayTask, PublishedRoster, RosterPerson
from scheduling.domain.roster import Assignment, Roster, TaskUnits
from tests.scheduling.sheets.packed_day import (
    MATERIALS,
    SITE,
    TOOLS,
    build_fill_task,
    build_place,
    build_session,
    build_task,
)


def build_large(people: int = 40, tasks: int = 20, holes: int = 300) -> PublishedRoster:
    """Return a day of the size that issue 7 names: every pocket task with its share of holes."""
    place = build_place()
    rounds, each = 6, holes // tasks * 2
    planned = []
    for number in range(tasks // 2):
        west, south = 2.0 + 6.5 * (number % 10), 10.5
        corners = ((west, south), (west + 5, south), (west + 5, south + 5), (west, south + 5))
        pocket = Pocket(f"Q{number + 1}", f"Strip {number + 1}", corners, "E")
        planned.append((pocket, each))
    pockets = tuple(pocket for pocket, _ in planned)
    day_tasks = []
    for number, (pocket, count) in enumerate(planned):
        across = 6
        spots = tuple(
            Hole(i + 1, (pocket.outline[0][0] + 0.4 + 0.8 * (i % across),
                         pocket.outline[0][1] + 0.4 + 0.8 * (i // across)))
            for i in range(count)
        )  # fmt: skip
        core = build_task(
            f"core-{number}", kind="core", title=f"Bore pocket {pocket.code}", trees=(),
            where=f"East lawn, pocket {pocket.code}", pocket=pocket.code, units=count,
            unit="hole", opens_ground=True, holes=spots, ground=(pocket.outline,), materials=(),
        )  # fmt: skip
        day_tasks += [core, build_fill_task(core)]
    entries = tuple(DayTask(TaskId(i), task.units, task) for i, task in enumerate(day_tasks, 1))
    crowd = tuple(
        RosterPerson(PersonId(i), f"Volunteer {i} Ż.", False, ("crew lead",) if i % 2 else ())
        for i in range(1, people + 1)
    )
    assignments = [
        Assignment(person.id, r, entries[((person.id - 1) // 2 + r) % len(entries)].id)
        for person in crowd
        for r in range(rounds)
    ]
    units = [TaskUnits(entry.id, r, entry.units_planned // rounds) for entry in entries
             for r in range(rounds)]  # fmt: skip
    return PublishedRoster(
        site=SITE,
        session=build_session(rounds),
        place=place,
        pockets=pockets,
        people=crowd,
        tasks=entries,
        tools=TOOLS,
        materials=MATERIALS,
        roster=Roster(tuple(assignments), tuple(units)),
        version=1,
        published_at=datetime(2027, 4, 12, 17, 4, tzinfo=UTC),
    )
