"""Reminders and digests: written once a day, to those who answer for somebody."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from orchard.models import User
from scheduling.models import Message, Person, Session, SignUp
from scheduling.services.outbox import stop_reminders
from scheduling.services.reminders import put_due_mail
from tests.scheduling.services.test_publish import address_of


@pytest.fixture
def eve(small_day: Session):
    """Ten in the morning at the site, the day before S01."""
    zone = ZoneInfo(small_day.season.site.time_zone)
    local = small_day.starts_at.astimezone(zone) - timedelta(days=1)
    return local.replace(hour=10, minute=0)


def reminded() -> set[str]:
    return set(Message.objects.filter(kind="reminder").values_list("to", flat=True))


def told(address: str) -> str:
    return " ".join(Message.objects.filter(to=address).values_list("text", flat=True))


def test_everybody_signed_up_is_reminded_once_the_day_before(small_day, eve) -> None:
    put_due_mail(at=eve - timedelta(hours=3))  # seven in the morning is too early
    assert reminded() == set()

    for minutes in (0, 5, 600):
        put_due_mail(at=eve + timedelta(minutes=minutes))

    signups = SignUp.objects.filter(session=small_day, state=SignUp.State.CONFIRMED)
    assert len(reminded()) == signups.count() == 8
    assert Message.objects.filter(kind="reminder").count() == 8


def test_a_guardian_is_reminded_of_the_child_and_the_child_never(small_day, eve) -> None:
    child = Person.objects.filter(guardian__user__isnull=False).order_by("pk").first()
    SignUp.objects.create(session=small_day, person=child, state="confirmed", at=eve)

    put_due_mail(at=eve)

    mail = Message.objects.get(kind="reminder", to=child.guardian.user.email)
    assert child.first_name in mail.text
    assert child.family_name == "" or child.family_name not in mail.text


def test_who_has_come_of_age_reads_their_own_mail_once_they_have_an_account(small_day, eve) -> None:
    grown = Person.objects.filter(guardian__user__isnull=False).order_by("pk")[0]
    Person.objects.filter(pk=grown.pk).update(birth_year=eve.year - 18, birth_month=1)
    SignUp.objects.create(session=small_day, person=grown, state="confirmed", at=eve)
    put_due_mail(at=eve)
    assert grown.first_name in told(grown.guardian.user.email)
    Message.objects.all().delete()

    grown.user = User.objects.create_user("grown@example.org")
    grown.birth_year, grown.birth_month = eve.year - 18, 1
    grown.save()
    put_due_mail(at=eve)

    assert grown.first_name in told("grown@example.org")
    assert grown.first_name not in told(grown.guardian.user.email)


def test_who_stopped_reminders_gets_none(small_day, eve) -> None:
    stop_reminders(site_id=small_day.season.site_id, address=address_of("P02"), at=eve)

    put_due_mail(at=eve)

    assert len(reminded()) == 7
    assert address_of("P02") not in reminded()


def test_a_session_called_off_reminds_nobody(small_day, eve) -> None:
    Session.objects.filter(pk=small_day.pk).update(state=Session.State.CALLED_OFF)

    put_due_mail(at=eve)

    assert reminded() == set()


def test_the_digest_says_who_comes_who_left_and_comes_once_a_day(small_day, eve) -> None:
    SignUp.objects.filter(session=small_day, person__code="P02").update(
        state=SignUp.State.WITHDRAWN, at=eve - timedelta(hours=2)
    )

    put_due_mail(at=eve)
    put_due_mail(at=eve + timedelta(hours=5))

    (digest,) = Message.objects.filter(kind="digest", to="coordinator@example.org")
    assert f"7 of {small_day.capacity} spaces taken" in digest.text
    assert f"{Person.objects.get(code='P02')} from S01" in digest.text
    put_due_mail(at=eve + timedelta(days=1))
    assert Message.objects.filter(kind="digest", to="coordinator@example.org").count() == 2
