"""What was done is typed in, counts as done, and changes what the rest is expected to take."""

from datetime import timedelta

import pytest
import time_machine

from orchard.models import RateVersion, Task
from scheduling.models import PlannedWork, Session, SessionRecord, WorkRecord
from scheduling.queries.records import forecast_season, load_learned_rates
from scheduling.services.seasons import plan_season
from tests.signed_in import NOW, SITE, SignIn

pytestmark = pytest.mark.django_db


@pytest.fixture
def first(sign_in: SignIn) -> Session:
    """The season planned; its first session."""
    from scheduling.domain.planner.limits import Limits

    session = Session.objects.order_by("starts_at").first()
    assert session is not None
    plan_season(season_id=session.season_id, at=NOW, limits=Limits(seconds=2.0))
    return session


def address(session: Session, page: str) -> str:
    return f"{SITE}/seasons/{session.season.code}/sessions/{session.code}/{page}"


def typed(session: Session, *, slow: float = 1.0, skip: str = "") -> dict[str, object]:
    """What the sheets say when everything planned was done, `slow` times slower."""
    boxes: dict[str, object] = {"people": 20, "near_misses": "A rake lay teeth up."}
    work = PlannedWork.objects.filter(session=session, season_plan__current=True)
    for line in work.select_related("task"):
        if line.task.kind == skip:
            continue
        minutes = line.task.content["effort"]["likely_min"] * line.units * slow / 4
        boxes |= {
            f"units_{line.task_id}": line.units,
            f"adults_{line.task_id}": 4,
            f"minutes_{line.task_id}": max(1, round(minutes)),
        }
    return boxes


def test_a_session_is_recorded_counts_and_teaches(first: Session, sign_in: SignIn) -> None:
    over = first.starts_at + timedelta(hours=4)
    with time_machine.travel(over, tick=False):
        coordinator = sign_in("coordinator@example.org")
        answer = coordinator.post(address(first, "record/"), typed(first, slow=3), follow=True)
        assert "have learned from it" in answer.content.decode()
        page = coordinator.get(f"{SITE}/seasons/{first.season.code}/forecast/").content.decode()
        after = forecast_season(first.season_id, at=over, on=over.date())
        learned = load_learned_rates(first.season.site_id, on=over.date())

    first.refresh_from_db()
    assert first.state == Session.State.DONE
    for line in WorkRecord.objects.filter(record__session=first).select_related("task"):
        assert line.task.units_done == line.units
    assert RateVersion.objects.filter(learned=True).count() == 1
    assert "learned from" in page
    assert after.records_used == WorkRecord.objects.filter(units__gt=0).count()
    assert learned
    assert all(rate.learned.effort.likely_min > rate.given.effort.likely_min for rate in learned)


def test_recording_again_corrects_and_counts_nothing_twice(first: Session, sign_in: SignIn) -> None:
    with time_machine.travel(first.starts_at + timedelta(hours=4), tick=False):
        coordinator = sign_in("coordinator@example.org")
        coordinator.post(address(first, "record/"), typed(first))
        done = list(Task.objects.order_by("pk").values_list("units_done", "state"))
        coordinator.post(address(first, "record/"), typed(first))
    assert list(Task.objects.order_by("pk").values_list("units_done", "state")) == done
    assert SessionRecord.objects.count() == 1


def test_a_session_to_come_cannot_be_recorded(first: Session, sign_in: SignIn) -> None:
    with time_machine.travel(NOW, tick=False):
        coordinator = sign_in("coordinator@example.org")
        answer = coordinator.post(address(first, "record/"), typed(first))
    assert "has not begun" in answer.content.decode()
    assert not SessionRecord.objects.exists()


def test_a_volunteer_finds_no_record_page(first: Session, sign_in: SignIn) -> None:
    assert sign_in("volunteer@example.org").get(address(first, "record/")).status_code == 404


def test_quicker_records_never_put_the_end_later(first: Session, sign_in: SignIn) -> None:
    over = first.starts_at + timedelta(hours=4)
    ends = []
    with time_machine.travel(over, tick=False):
        coordinator = sign_in("coordinator@example.org")
        for slow in (4.0, 1.0, 0.3):
            coordinator.post(address(first, "record/"), typed(first, slow=slow))
            ends.append(forecast_season(first.season_id, at=over, on=over.date()).p50.sessions)
    assert ends == sorted(ends, reverse=True)
    assert ends[0] > ends[-1]
