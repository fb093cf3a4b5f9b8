"""A recorded session counts who was signed up, and the site's belief learns from it."""

from datetime import datetime, timedelta

import pytest

from scheduling.domain.attendance import COMMON_BELIEF, Beta
from scheduling.models import Session, SessionRecord, SignUp
from scheduling.queries.attendance import count_signed_up, load_belief, load_invitation
from scheduling.services.records import SessionEntry, record_session

pytestmark = pytest.mark.usefixtures("demo_season")


@pytest.fixture
def singles_only() -> Session:
    """S01 with ten people signed up singly."""
    session = Session.objects.get(code="S01")
    rows = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED)
    kept = list(rows.filter(person__isnull=False).order_by("pk").values_list("pk", flat=True)[:10])
    SignUp.objects.filter(session=session).exclude(pk__in=kept).delete()
    return session


def record(session: Session, people: int, at: datetime) -> None:
    entry = SessionEntry(session_id=session.pk, people=people, near_misses="", work=())
    record_session(entry, by=None, at=at)


def test_a_record_teaches_and_stays_when_sign_ups_are_deleted(singles_only: Session) -> None:
    after = singles_only.starts_at + timedelta(hours=5)
    site = singles_only.season.site_id
    assert load_belief(site) == COMMON_BELIEF

    record(singles_only, 6, after)

    assert load_belief(site).singles == Beta(7 + 6, 3 + 4)
    SignUp.objects.filter(session=singles_only).delete()  # as the purge does with young people's
    record(singles_only, 9, after)  # a correction
    assert load_belief(site).singles == Beta(7 + 9, 3 + 1)
    assert SessionRecord.objects.get().singles_signed_up == 10


def test_another_sites_past_teaches_nothing_here(singles_only: Session) -> None:
    record(singles_only, 6, singles_only.starts_at + timedelta(hours=5))

    assert load_belief(singles_only.season.site_id + 1) == COMMON_BELIEF


def test_a_record_from_before_the_counting_teaches_nothing(
    singles_only: Session, now: datetime
) -> None:
    SessionRecord.objects.create(session=singles_only, recorded_at=now, people=3)

    assert load_belief(singles_only.season.site_id) == COMMON_BELIEF


def test_a_class_counts_its_staff_once_and_singles_apart() -> None:
    session = Session.objects.get(code="S04")
    singles, classes = count_signed_up(session.pk)

    rows = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED)
    (group,) = [row.group for row in rows.select_related("group") if row.group]
    staff = set(group.staff.values_list("pk", flat=True))
    pupils = sum(group.pupils_by_age.values())
    assert classes == [pupils + len(staff) + group.helpers]
    assert singles == rows.filter(person__isnull=False).exclude(person__in=staff).count()


def test_the_invitation_learns_with_the_site(singles_only: Session) -> None:
    other = Session.objects.get(code="S02")
    asked = {"site_id": other.season.site_id, "capacity": other.capacity}
    before = load_invitation(other.pk, **asked)
    record(singles_only, 10, singles_only.starts_at + timedelta(hours=5))
    after = load_invitation(other.pk, **asked)

    assert before.sessions == 0
    assert after.sessions == 1
    assert after.mean_percent > before.mean_percent == 70
    assert other.capacity <= after.most <= before.most
