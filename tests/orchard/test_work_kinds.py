"""Which kinds of work a site has, for the form of wishes."""

import pytest

from orchard.domain.task_graph import WORKING_ORDER
from orchard.models import Plan, PlanTreatment, Site, Task
from orchard.queries.work_kinds import load_work_kinds

pytestmark = pytest.mark.usefixtures("demo_season")


def test_the_demo_sites_kinds_are_those_of_its_tasks_and_lines() -> None:
    site = Site.objects.get()
    of_tasks = set(Task.objects.values_list("kind", flat=True))

    kinds = load_work_kinds(site.pk)

    assert of_tasks <= set(kinds) < set(WORKING_ORDER)
    assert list(kinds) == sorted(kinds, key=WORKING_ORDER.index)


def test_a_line_counts_before_its_tasks_and_a_withdrawn_task_does_not() -> None:
    site = Site.objects.get()
    Task.objects.update(state=Task.State.WITHDRAWN)
    PlanTreatment.objects.exclude(treatment="MUL").delete()
    if not PlanTreatment.objects.exists():
        PlanTreatment.objects.create(plan=Plan.objects.get(), key="m", position=1, treatment="MUL")

    assert load_work_kinds(site.pk) == ("mulch",)


def test_a_site_without_work_has_every_kind_to_speak_of() -> None:
    site = Site.objects.get()
    Plan.objects.all().delete()

    assert load_work_kinds(site.pk) == WORKING_ORDER
    assert load_work_kinds(site.pk + 1) == WORKING_ORDER
