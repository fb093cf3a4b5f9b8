"""The plan's page, what would change, and publishing."""

from html import unescape
from http import HTTPStatus

import pytest

from orchard.models import Plan, PlanTreatment, Task
from orchard.queries.pages import find_plan_title, load_plan_page
from tests.signed_in import COORDINATOR, LEAD, SITE, VOLUNTEER, SignIn

PLAN = f"{SITE}/plans/TY-27"


def test_the_plan_shows_each_treatment_with_its_numbers_and_evidence(sign_in: SignIn) -> None:
    text = unescape(sign_in(COORDINATOR).get(f"{PLAN}/").content.decode())

    assert "Core and backfill" in text
    assert "pocket P1" in text
    assert "300 mm" in text
    assert "contested</span>" in text
    assert 'class="drawing"' in text


def test_the_ledgers_foot_is_the_sum_of_the_tasks(sign_in: SignIn) -> None:
    title = find_plan_title(site_id=Plan.objects.get().site_id, code="TY-27")
    assert title is not None

    page = load_plan_page(title)

    tasks = Task.objects.exclude(state=Task.State.WITHDRAWN)
    assert page.cost_cents == sum(task.cost_cents for task in tasks)
    assert page.cost_cents == sum(group.cost_cents for group in page.groups)
    assert page.effort.mean_min == pytest.approx(sum(task.mean_person_min for task in tasks))
    assert sum(group.standing for group in page.groups) == tasks.count()
    assert page.material_cost_cents == page.cost_cents  # tasks cost their materials only


def test_a_withdrawn_task_is_listed_but_not_counted(sign_in: SignIn) -> None:
    title = find_plan_title(site_id=Plan.objects.get().site_id, code="TY-27")
    assert title is not None
    before = load_plan_page(title)
    gone = Task.objects.filter(kind="mulch").order_by("position")[0]
    Task.objects.filter(pk=gone.pk).update(state=Task.State.WITHDRAWN)

    after = load_plan_page(title)

    assert after.cost_cents == before.cost_cents - gone.cost_cents
    text = sign_in(COORDINATOR).get(f"{PLAN}/").content.decode()
    assert 'class="is-withdrawn"' in text


def test_a_budget_below_the_cost_is_named(sign_in: SignIn) -> None:
    Plan.objects.update(budget_cents=100)

    assert "Over budget by" in sign_in(COORDINATOR).get(f"{PLAN}/").content.decode()


def test_nothing_to_change_offers_no_button(sign_in: SignIn) -> None:
    text = sign_in(COORDINATOR).get(f"{PLAN}/changes/").content.decode()

    assert "Nothing: all" in text
    assert "Publish tasks" not in text


def test_a_changed_plan_shows_the_change_and_keeps_it_only_when_published(
    sign_in: SignIn,
) -> None:
    client = sign_in(COORDINATOR)
    line = PlanTreatment.objects.get(key="compost")
    PlanTreatment.objects.filter(pk=line.pk).update(parameters={"depth_mm": 50})
    cost = sum(Task.objects.filter(kind="topdress").values_list("cost_cents", flat=True))

    preview = client.get(f"{PLAN}/changes/").content.decode()
    assert "Publish tasks" in preview
    assert "Changed: " in preview
    assert cost == sum(Task.objects.filter(kind="topdress").values_list("cost_cents", flat=True))

    published = client.post(f"{PLAN}/publish/", follow=True).content.decode()
    again = client.post(f"{PLAN}/publish/", follow=True).content.decode()

    assert "Tasks published: " in published
    assert "Tasks published: 0 new, 0 changed, 0 withdrawn" in again
    assert sum(Task.objects.filter(kind="topdress").values_list("cost_cents", flat=True)) > cost


def test_a_number_out_of_range_is_said_on_both_pages_and_publishes_nothing(
    sign_in: SignIn,
) -> None:
    client = sign_in(COORDINATOR)
    PlanTreatment.objects.filter(key="compost").update(parameters={"depth_mm": 5000})
    digests = sorted(Task.objects.values_list("content_digest", flat=True))

    for address in (f"{PLAN}/", f"{PLAN}/changes/"):
        assert "is 5000 mm; it may be" in client.get(address).content.decode()
    answer = client.post(f"{PLAN}/publish/", follow=True).content.decode()

    assert "Nothing was published." in answer
    assert sorted(Task.objects.values_list("content_digest", flat=True)) == digests


def test_an_unknown_treatment_in_the_plan_does_not_break_its_page(sign_in: SignIn) -> None:
    PlanTreatment.objects.filter(key="compost").update(treatment="QQQ")

    answer = sign_in(COORDINATOR).get(f"{PLAN}/")

    assert answer.status_code == HTTPStatus.OK
    assert "There is no treatment “QQQ”" in answer.content.decode()


def test_a_task_shows_steps_cautions_tools_and_its_drawing(sign_in: SignIn) -> None:
    task = Task.objects.filter(kind="core").order_by("position")[0]

    text = sign_in(LEAD).get(f"{SITE}/tasks/{task.pk}/").content.decode()

    assert "Steps" in text
    assert "These are the usual cautions." in text
    assert "hand auger" in text
    assert 'class="drawing"' in text
    assert sign_in(VOLUNTEER).get(f"{SITE}/tasks/{task.pk}/").status_code == HTTPStatus.NOT_FOUND


def test_a_task_of_another_site_is_not_found(sign_in: SignIn) -> None:
    from orchard.models import Site
    from tests.signed_in import STRANGER

    task = Task.objects.order_by("position")[0]
    elsewhere = Site.objects.get(slug="elsewhere").slug

    found = sign_in(STRANGER).get(f"/{elsewhere}/tasks/{task.pk}/").status_code
    assert found == HTTPStatus.NOT_FOUND
