"""Sessions recorded before holes were kept by name: their counts become holes."""

from importlib import import_module

import pytest
from django.apps import apps

from orchard.models import HoleRecord, Task
from scheduling.models import Session, SessionRecord, WorkRecord
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


def test_counts_become_the_first_holes_of_the_task_day_by_day() -> None:
    task = Task.objects.get(key="COR-P1-1")
    for code, units in (("S02", 2), ("S01", 3)):
        session = Session.objects.get(code=code, season__code="2027")
        record = SessionRecord.objects.create(session=session, recorded_at=NOW, people=4)
        WorkRecord.objects.create(
            record=record, task=task, units=units, adult_min=30, planned_min_per_unit=5
        )
    name_holes = import_module("scheduling.migrations.0010_holes_of_earlier_records").name_holes

    name_holes(apps, None)

    rows = list(HoleRecord.objects.order_by("on", "pk"))
    assert [row.name for row in rows] == [hole["name"] for hole in task.content["holes"][:5]]
    assert [row.on.isoformat() for row in rows] == ["2027-03-13"] * 3 + ["2027-03-20"] * 2
    assert all(row.assumed and row.task_id == task.pk for row in rows)
