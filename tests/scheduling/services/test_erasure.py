"""Erasing leaves numbers and nobody's name; purging deletes on the day, not before."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client

from orchard.models import User
from scheduling.domain.data_map import DAYS_MAIL, DAYS_MINORS_ATTENDANCE
from scheduling.domain.errors import PersonRefused
from scheduling.models import (
    ConsentRecord,
    DayContact,
    Erasure,
    FirstAidNote,
    Message,
    Person,
    RosterPlace,
    Session,
    SignUp,
    WeatherSheet,
)
from scheduling.services.erasure import erase_person, find_name, purge
from scheduling.services.own_data import write_own_data
from scheduling.services.publish import publish_roster
from tests.scheduling.services.test_publish import write_draft
from tests.signed_in import GUARDIAN, LIAISON, NOW, SITE, sign_in  # noqa: F401 (fixture)

AFTER = NOW + timedelta(days=400)


@pytest.fixture
def guardian(small_day: Session) -> Person:
    """Hạnh, who came to S01 with a child, was mailed, called and noted about."""
    guardian = Person.objects.get(code="P02")
    child = Person.objects.filter(guardian=guardian).order_by("pk").first()
    publish_roster(roster_id=write_draft(small_day, ("P01", "P02"), version=1).pk, at=NOW)
    SignUp.objects.create(session=small_day, person=child, state="confirmed", at=NOW)
    DayContact.objects.create(person=child, name="Hạnh Nguyễn", telephone="555 0143")
    FirstAidNote.objects.create(
        person=child, text="wasp stings", written_at=NOW, keep_until=NOW.date()
    )
    WeatherSheet.objects.create(session=small_day, typed_name=str(guardian), typed_at=NOW)
    SignUp.objects.filter(session__starts_at__gt=small_day.starts_at).delete()
    return guardian


def erase(person: Person, at=AFTER) -> None:
    erase_person(person_id=person.pk, asked_by="themselves", at=at)


def test_after_erasing_no_column_holds_the_name_or_address(guardian: Person) -> None:
    family, address = guardian.family_name, guardian.user.email
    children = [str(child) for child in Person.objects.filter(guardian=guardian)]
    assert find_name(family)
    assert find_name(address)

    erase(guardian)

    for words in (family, address, str(guardian), *children):
        assert find_name(words) == (), words


def test_totals_stay(guardian: Person, small_day: Session) -> None:
    places = RosterPlace.objects.filter(roster__session=small_day).count()
    coming = SignUp.objects.filter(session=small_day, state="confirmed").count()

    erase(guardian)

    assert RosterPlace.objects.filter(roster__session=small_day).count() == places
    assert SignUp.objects.filter(session=small_day, state="confirmed").count() == coming
    guardian.refresh_from_db()
    assert (guardian.first_name, guardian.user, guardian.active) == ("erased person", None, False)
    assert not User.objects.filter(email=GUARDIAN).exists() or guardian.user is None
    (kept,) = Erasure.objects.all()
    assert kept.rows["consents"] >= 1


def test_erasing_twice_is_once(guardian: Person) -> None:
    erase(guardian)
    erase(guardian)

    assert Erasure.objects.count() == 1


def test_who_is_still_signed_up_withdraws_first(guardian: Person) -> None:
    with pytest.raises(PersonRefused, match="Withdraw first"):
        erase(guardian, at=NOW)

    assert find_name(guardian.family_name)


def test_a_liaison_hands_the_class_over_first(guardian: Person) -> None:
    guardian.user = User.objects.get(email=LIAISON)
    guardian.save()

    with pytest.raises(PersonRefused, match="another liaison"):
        erase(guardian)


def test_what_is_held_can_be_read_by_whom_it_is_about(guardian: Person) -> None:
    held = json.loads(write_own_data(guardian.pk, at=NOW))

    assert held["format"] == "own-data/1"
    assert held["held"]["scheduling.Person"][0]["family_name"] == guardian.family_name
    assert held["held"]["orchard.User"][0]["email"] == guardian.user.email
    assert "password" not in held["held"]["orchard.User"][0]
    assert held["held"]["scheduling.Message"]
    assert {p["where"] for p in held["purposes"]} <= set(held["held"])


def test_nobody_downloads_or_erases_somebody_elses_child(guardian: Person, request) -> None:
    signed_in = request.getfixturevalue("sign_in")
    child = Person.objects.filter(guardian=guardian).first()
    client: Client = signed_in(LIAISON)

    for path in ("held.json", "erase/"):
        assert client.get(f"{SITE}/my-people/{child.pk}/{path}").status_code == 404
    assert client.post(f"{SITE}/my-people/{child.pk}/erase/").status_code == 404
    child.refresh_from_db()
    assert child.erased_at is None


@pytest.mark.parametrize(
    ("days", "stays"),
    [
        (DAYS_MINORS_ATTENDANCE - 1, True),
        (DAYS_MINORS_ATTENDANCE, True),
        (DAYS_MINORS_ATTENDANCE + 1, False),
    ],
)
def test_young_peoples_attendance_goes_after_thirty_days(
    guardian: Person, small_day: Session, days: int, stays: bool
) -> None:
    """The house's reference 10.9: attendance names of minors 30 days; tested at 29, 30, 31."""
    at = small_day.starts_at + timedelta(days=days)
    child = Person.objects.filter(guardian=guardian, signups__session=small_day).first()

    purge(at=at, on=at.date())

    assert SignUp.objects.filter(session=small_day, person=child).exists() is stays
    assert SignUp.objects.filter(session=small_day, person=guardian).exists()


def test_first_aid_notes_go_when_their_day_is_over(guardian: Person) -> None:
    purge(at=NOW, on=NOW.date())
    assert FirstAidNote.objects.exists()

    purge(at=NOW, on=NOW.date() + timedelta(days=1))
    assert not FirstAidNote.objects.exists()


def test_mail_goes_ninety_days_after_it_was_sent(guardian: Person) -> None:
    Message.objects.update(sent_at=NOW)
    at = NOW + timedelta(days=DAYS_MAIL)

    purge(at=at, on=at.date())
    assert Message.objects.exists()
    purge(at=at + timedelta(seconds=1), on=at.date())
    assert not Message.objects.exists()


def test_a_dry_run_deletes_nothing_and_a_second_run_finds_nothing(guardian: Person) -> None:
    at = NOW + timedelta(days=900)
    dry = purge(at=at, on=at.date(), dry_run=True)
    assert dry.total > 0
    assert ConsentRecord.objects.exists()

    first = purge(at=at, on=at.date())

    assert first.removed == dry.removed
    assert purge(at=at, on=at.date()).total == 0


def test_the_command_says_what_it_deleted(guardian: Person) -> None:
    FirstAidNote.objects.update(keep_until=NOW.date() - timedelta(days=3000))
    told = StringIO()

    call_command("purge", "--dry-run", stdout=told)
    assert "would be deleted" in told.getvalue()
    assert FirstAidNote.objects.exists()
    call_command("purge", stdout=told)
    assert "first-aid notes: 1 deleted" in told.getvalue()
