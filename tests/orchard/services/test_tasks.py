"""Publishing a plan's tasks: the difference first, done work kept, twice the same as once."""

import pytest

from orchard.domain.errors import ParameterOutOfRange
from orchard.models import Plan, PlanTreatment, Task
from orchard.services.tasks import preview_tasks, publish_tasks
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

ON = NOW.date()


def plan_id() -> int:
    return Plan.objects.get().pk


def kept() -> list[tuple[object, ...]]:
    """Every column of every task, so that any write at all is seen."""
    return list(Task.objects.order_by("pk").values_list())


def edit(line: str, **parameters: float) -> None:
    row = PlanTreatment.objects.get(key=line)
    row.parameters = {**row.parameters, **parameters}
    row.save()


def test_publishing_again_writes_nothing() -> None:
    before = kept()

    changes = publish_tasks(plan_id=plan_id(), on=ON)

    assert changes.is_empty
    assert len(changes.unchanged) == len(before)
    assert kept() == before


def test_a_first_publication_creates_every_task_in_working_order() -> None:
    Task.objects.all().delete()

    changes = publish_tasks(plan_id=plan_id(), on=ON)

    keys = [change.key for change in changes.created]
    assert (changes.changed, changes.unchanged, changes.withdrawn) == ((), (), ())
    assert list(Task.objects.order_by("position").values_list("key", flat=True)) == keys
    assert Task.objects.filter(state=Task.State.OPEN, units_done=0).count() == len(keys)


def test_looking_shows_the_change_and_keeps_nothing() -> None:
    before = kept()
    edit("compost", depth_mm=30)

    changes = preview_tasks(plan_id=plan_id(), on=ON)

    compost = set(Task.objects.filter(kind="topdress").values_list("key", flat=True))
    assert {change.key for change in changes.changed} >= compost
    assert all(change.sentence for change in changes.changed)
    assert kept() == before


def test_what_was_shown_is_what_publishing_does() -> None:
    edit("compost", depth_mm=30)
    PlanTreatment.objects.get(key="pocket-rubble").delete()

    shown = preview_tasks(plan_id=plan_id(), on=ON)
    done = publish_tasks(plan_id=plan_id(), on=ON)

    assert done == shown
    assert done.changed
    assert done.withdrawn
    assert publish_tasks(plan_id=plan_id(), on=ON).is_empty


def test_a_deeper_dressing_asks_for_work_in_proportion() -> None:
    """Volume is area times depth: 30 mm instead of 20 mm is half as much again."""
    edit("compost", depth_mm=20)
    publish_tasks(plan_id=plan_id(), on=ON)
    shallow = dict(Task.objects.filter(kind="topdress").values_list("key", "content"))
    edit("compost", depth_mm=30)
    publish_tasks(plan_id=plan_id(), on=ON)
    deep = dict(Task.objects.filter(kind="topdress").values_list("key", "content"))

    def litres(contents: dict[str, dict]) -> int:
        return sum(need["litres"] for task in contents.values() for need in task["materials"])

    assert litres(deep) == pytest.approx(1.5 * litres(shallow), rel=0.01)


def test_done_work_stays_when_its_task_changes() -> None:
    task = Task.objects.filter(kind="topdress", units__gt=1).earliest("position")
    Task.objects.filter(pk=task.pk).update(units_done=1)
    edit("compost", depth_mm=30)

    publish_tasks(plan_id=plan_id(), on=ON)

    after = Task.objects.get(pk=task.pk)
    assert after.units_done == 1
    assert after.state == Task.State.OPEN
    assert after.content_digest != task.content_digest


def test_a_task_that_shrinks_below_what_is_done_counts_as_done() -> None:
    task = Task.objects.get(key="COR-P1-1")
    Task.objects.filter(pk=task.pk).update(units_done=task.units)
    edit("pockets-spring", spacing_mm=600)  # twice as far apart: about a quarter of the holes

    publish_tasks(plan_id=plan_id(), on=ON)

    after = Task.objects.get(pk=task.pk)
    assert after.units < task.units
    assert (after.state, after.units_done) == (Task.State.DONE, task.units)


def test_a_line_taken_out_withdraws_its_tasks_and_keeps_their_record() -> None:
    cored = Task.objects.filter(title__contains="pocket P2", kind="core")
    first = cored.earliest("position")
    cored.filter(pk=first.pk).update(units_done=3)
    number = Task.objects.count()
    PlanTreatment.objects.get(key="pocket-rubble").delete()

    changes = publish_tasks(plan_id=plan_id(), on=ON)

    first.refresh_from_db()
    sentences = {change.key: change.sentence for change in changes.withdrawn}
    assert Task.objects.count() == number
    assert first.state == Task.State.WITHDRAWN
    assert first.units_done == 3
    assert sentences[first.key] == f"3 of {first.units} holes done"


def test_a_withdrawn_task_is_taken_up_again_with_what_was_done() -> None:
    line = PlanTreatment.objects.get(key="pocket-rubble")
    pockets = list(line.pockets.all())
    task = Task.objects.filter(title__contains="pocket P2", kind="core").earliest("position")
    Task.objects.filter(pk=task.pk).update(units_done=3)
    line.delete()
    publish_tasks(plan_id=plan_id(), on=ON)
    line.save()
    line.pockets.set(pockets)

    changes = publish_tasks(plan_id=plan_id(), on=ON)

    task.refresh_from_db()
    assert not changes.created
    assert "taken up again" in {change.sentence for change in changes.changed}
    assert (task.state, task.units_done) == (Task.State.OPEN, 3)


def test_a_number_out_of_range_keeps_everything_as_it_was() -> None:
    before = kept()
    edit("compost", depth_mm=900)

    with pytest.raises(ParameterOutOfRange, match="900"):
        publish_tasks(plan_id=plan_id(), on=ON)

    assert kept() == before
