"""The coordinator's way: from the plan to the day pack in print and the invites in the mail."""

from http import HTTPStatus
from io import BytesIO

import pytest
import vobject
from django.core import mail
from django.test import Client
from pypdf import PdfReader
from pytest_django import Settings

from orchard.models import PlanTreatment, Task
from scheduling.models import Message, PlannedWork, Roster, Session, SignUp
from scheduling.services.outbox import send_waiting
from tests.journeys.conftest import Enter
from tests.signed_in import COORDINATOR, NOW, SEASON, SITE

PLAN = f"{SITE}/plans/TY-27"
S01 = f"{SEASON}/sessions/S01"


@pytest.fixture
def coordinator(enter: Enter, settings: Settings) -> Client:
    settings.SEASON_SECONDS = 3
    settings.ROSTER_SECONDS = 3
    return enter(COORDINATOR)


def read(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == HTTPStatus.OK, address
    return answer.content.decode()


def press(client: Client, address: str, **fields: object) -> str:
    answer = client.post(address, fields, follow=True)
    assert answer.status_code == HTTPStatus.OK, address
    return answer.content.decode()


def test_from_the_plan_to_the_papers_and_the_invites(coordinator: Client) -> None:
    Task.objects.all().delete()

    publish_tasks_and_plan_the_season(coordinator)
    roster = propose_and_publish_the_roster(coordinator)
    read_the_day_pack(coordinator, roster)
    read_the_invites()
    publishing_again_changes_nothing(coordinator, roster)


def publish_tasks_and_plan_the_season(client: Client) -> None:
    preview = read(client, f"{PLAN}/changes/")
    assert "Publish tasks" in preview
    assert not Task.objects.exists()  # looking keeps nothing

    plan = press(client, f"{PLAN}/publish/")
    assert f"Tasks published: {Task.objects.count()} new, 0 changed, 0 withdrawn" in plan
    assert Task.objects.filter(kind="core").exists()

    season = press(client, f"{SEASON}/plan/")
    assert "The season is planned" in season
    assert f'href="{S01}/roster/"' in season
    assert PlannedWork.objects.filter(session__code="S01").exists()


def propose_and_publish_the_roster(client: Client) -> Roster:
    before = read(client, f"{S01}/roster/")
    assert "no roster yet" in before

    proposed = press(client, f"{S01}/roster/propose/")
    assert "draft roster</span>, version 1" in proposed
    assert "Round 1, 09:50 to 10:20" in proposed
    assert 'id="findings"' in proposed
    assert not Message.objects.exists()  # a draft tells nobody

    roster = Roster.objects.get(session__code="S01")
    coming = SignUp.objects.filter(session__code="S01").count()
    published = press(client, f"{S01}/roster/publish/", roster=roster.pk)
    assert f"Version 1 is published: {coming} invites to send" in published
    roster.refresh_from_db()
    assert roster.state == Roster.State.PUBLISHED
    return roster


def read_the_day_pack(client: Client, roster: Roster) -> None:
    answer = client.get(f"{S01}/day-pack-a4.pdf")
    assert answer.headers["Content-Type"] == "application/pdf"
    pages = [page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages]
    text = " ".join(" ".join(pages).split())

    assert "Traverser Yard Orchard" in text
    assert "112" in text  # the emergency number of fixtures/site.toml
    titles = {place.task.title for place in roster.places.select_related("task")}
    for title in sorted(titles):
        assert title in text
    for sign_up in SignUp.objects.filter(session__code="S01", person__isnull=False):
        assert sign_up.person.first_name in text


def read_the_invites() -> None:
    waiting = Message.objects.count()
    mail.outbox.clear()
    assert send_waiting(clock=lambda: NOW).sent == waiting

    starts_at = Session.objects.get(code="S01").starts_at
    uids = set()
    for sent in mail.outbox:
        (calendar,) = [content for content, kind in sent.alternatives if "text/calendar" in kind]
        parsed = vobject.readOne(calendar)
        event = parsed.vevent
        assert parsed.method.value == "REQUEST"
        assert event.dtstart.value == starts_at
        assert event.dtend.value > event.dtstart.value
        assert event.attendee.value.lower() == f"mailto:{sent.to[0]}"
        assert event.organizer.value.lower().startswith("mailto:")
        uids.add(event.uid.value)
    assert len(uids) == waiting == len(mail.outbox)


def publishing_again_changes_nothing(client: Client, roster: Roster) -> None:
    sheets = client.get(f"{S01}/day-pack-a4.pdf").content
    kept = list(Message.objects.order_by("pk").values())

    again = press(client, f"{S01}/roster/publish/", roster=roster.pk)
    tasks = press(client, f"{PLAN}/publish/")

    assert "0 invites to send" in again
    assert "0 new, 0 changed, 0 withdrawn" in tasks
    assert list(Message.objects.order_by("pk").values()) == kept
    assert Roster.objects.filter(session__code="S01").count() == 1
    assert client.get(f"{S01}/day-pack-a4.pdf").content == sheets


def test_an_edited_plan_shows_the_difference_first_and_keeps_done_work(
    coordinator: Client,
) -> None:
    done = Task.objects.filter(kind="topdress").earliest("position")
    Task.objects.filter(pk=done.pk).update(units_done=5)
    compost = PlanTreatment.objects.get(key="compost")
    compost.parameters = {**compost.parameters, "depth_mm": 40}
    compost.save()
    PlanTreatment.objects.get(key="pocket-rubble").delete()
    kept = list(Task.objects.order_by("pk").values_list("pk", "state", "content_digest"))

    shown = read(coordinator, f"{PLAN}/changes/")

    assert done.title in shown or done.key in shown
    assert "pocket P2" in shown
    assert list(Task.objects.order_by("pk").values_list("pk", "state", "content_digest")) == kept

    press(coordinator, f"{PLAN}/publish/")

    done.refresh_from_db()
    assert done.units_done == 5
    assert done.content_digest not in {digest for _, _, digest in kept}
    gone = Task.objects.filter(title__contains="pocket P2")
    assert set(gone.values_list("state", flat=True)) == {Task.State.WITHDRAWN}
    assert "Nothing: all" in read(coordinator, f"{PLAN}/changes/")


def test_a_season_planned_again_after_work_was_done_leaves_the_done_out(
    coordinator: Client,
) -> None:
    weeded = Task.objects.filter(kind="weed").earliest("position")
    Task.objects.filter(pk=weeded.pk).update(units_done=weeded.units, state=Task.State.DONE)

    press(coordinator, f"{SEASON}/plan/")

    assert PlannedWork.objects.filter(season_plan__current=True).exists()
    assert not PlannedWork.objects.filter(task=weeded).exists()
