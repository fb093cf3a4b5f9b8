"""What became of holes, as the day pack of a published roster shows it."""

from datetime import timedelta

import pytest

from orchard.models import HoleRecord, Task
from orchard.queries.pocket_layouts import find_pocket_layout
from orchard.services.holes import record_hole
from orchard.services.tasks import publish_tasks, record_done
from scheduling.models import Roster, RosterPlace, RosterUnits, Session
from scheduling.queries.rosters import load_printed
from scheduling.sheets.content import build_day_pack
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


@pytest.fixture
def roster() -> int:
    """A published roster of S02 on which two people bore the first piece of pocket P1."""
    session = Session.objects.get(code="S02", season__code="2027")
    row = Roster.objects.create(
        session=session,
        version=1,
        state=Roster.State.PUBLISHED,
        value={},
        bound={},
        seconds=0,
        seed=1,
        made_at=NOW,
        published_at=NOW,
    )
    people = session.signups.filter(person__isnull=False).order_by("pk")[:2]
    task = Task.objects.get(key="COR-P1-1")
    RosterPlace.objects.bulk_create(
        RosterPlace(roster=row, person_id=s.person_id, round=0, task=task) for s in people
    )
    RosterUnits.objects.create(roster=row, task=task, round=0, units=5)
    return row.pk


def pack_holes(roster: int) -> list[str]:
    """Return the names in the day pack's setting-out table: number and name of each hole."""
    pack = build_day_pack(load_printed(roster))
    (sheet,) = [one for one in pack.setting_out if one.pocket == "P1"]
    return [line.hole.split("\u00a0")[1] for line in sheet.lines]


def names() -> list[str]:
    return [hole["name"] for hole in Task.objects.get(key="COR-P1-1").content["holes"]]


def test_a_refused_hole_is_off_the_days_table_once_published_again(roster: int) -> None:
    task = Task.objects.get(key="COR-P1-1")
    assert sorted(pack_holes(roster)) == sorted(names())
    record_hole(
        site_id=task.plan.site_id,
        pocket="P1",
        name="A3",
        reason="rubble",
        moved_to=None,
        on=NOW.date(),
        by=task.plan.site.roles.first().user_id,
    )
    publish_tasks(plan_id=task.plan_id, on=NOW.date())

    printed = pack_holes(roster)

    assert "A3" not in printed
    assert "A3b" in printed
    found = find_pocket_layout(task.plan.site_id, "P1")
    assert set(printed) <= {hole.name for hole in found.layout.holes}


def test_holes_bored_on_earlier_days_are_off_the_table_those_of_the_day_stay(roster: int) -> None:
    task = Task.objects.get(key="COR-P1-1")
    day = load_printed(roster).session.starts_at.date()
    record_done(units={task.pk: 4}, on=day - timedelta(days=7))
    record_done(units={task.pk: 3}, on=day)

    assert sorted(pack_holes(roster)) == sorted(names()[4:])
    assert HoleRecord.objects.count() == 7


def test_the_task_sheet_tells_what_is_done_and_what_is_open(roster: int) -> None:
    task = Task.objects.get(key="COR-P1-1")
    day = load_printed(roster).session.starts_at.date()
    record_done(units={task.pk: 4}, on=day - timedelta(days=7))

    pack = build_day_pack(load_printed(roster))

    (sheet,) = [one for one in pack.task_sheets if one.title.startswith("Bore")]
    first, last = 5, task.units  # numbered in walking order, and nothing is refused
    assert sheet.amounts[:2] == (
        "5 holes today",
        f"of {task.units} holes in all, 4 done; open, numbers {first} to {last}; "
        "the rest on another day",
    )
