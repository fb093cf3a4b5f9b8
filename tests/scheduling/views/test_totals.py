"""Totals for a reader: numbers that add up, small counts withheld, no name, nothing else."""

from html import unescape

import pytest
from django.test import Client

from orchard.models import Role, Site, Task, User
from orchard.services.roles import grant_role
from scheduling.domain.totals import withhold_small
from scheduling.models import Person, SchoolGroup, Session, SessionRecord, SignUp, WorkRecord
from tests.signed_in import COORDINATOR, GUARDIAN, LEAD, LIAISON, NOW, SITE, VOLUNTEER, SignIn

TOTALS = f"{SITE}/totals/"
READER = "funder@example.org"


@pytest.fixture
def reader(sign_in: SignIn) -> Client:
    account = User.objects.create_user(READER)
    grant_role(
        user_id=account.pk, site_id=Site.objects.get(slug=SITE[1:]).pk, kind="reader", at=NOW
    )
    return sign_in(READER)


def record(people: int, *, units: int = 0) -> SessionRecord:
    """S01 recorded, with so many heads and, if wanted, holes of its first boring task."""
    session = Session.objects.get(code="S01")
    session.rounds, session.round_minutes = 4, 30
    session.save()
    kept = SessionRecord.objects.create(session=session, recorded_at=NOW, people=people)
    if units:
        WorkRecord.objects.create(
            record=kept, task=Task.objects.filter(kind="core").first(), units=units,
            adult_min=60, activity="core", planned_min_per_unit=10,
        )  # fmt: skip
    return kept


def come(session: Session, *, adults: int, young: int) -> None:
    SignUp.objects.filter(session=session).delete()
    chosen = [
        *Person.objects.filter(birth_year__lt=2000).order_by("pk")[:adults],
        *Person.objects.filter(birth_year__gt=2010).order_by("pk")[:young],
    ]
    for person in chosen:
        SignUp.objects.create(session=session, person=person, state=SignUp.State.CONFIRMED, at=NOW)


def read(client: Client) -> str:
    return " ".join(unescape(client.get(TOTALS).content.decode()).split())


def test_a_season_adds_up_as_by_hand(reader: Client) -> None:
    """12 people through 4 rounds of 30 minutes: 12 × 2 h = 24 h."""
    kept = record(12, units=31)
    come(kept.session, adults=7, young=5)
    group = SchoolGroup.objects.order_by("pk").first()
    SignUp.objects.create(session=kept.session, group=group, state="confirmed", at=NOW)

    page = read(reader)

    assert "<dt>People counted on the days</dt><dd>12</dd>" in page
    assert "<dt>People-hours</dt><dd>24.0, people" in page
    assert "<dt>Different adults signed up</dt><dd>7</dd>" in page
    assert "<dt>Different young people signed up</dt><dd>5</dd>" in page
    assert f"<dt>Pupils of classes</dt><dd>{sum(group.pupils_by_age.values())}</dd>" in page
    assert "<dt>Holes bored</dt><dd>31</dd>" in page
    assert 'data-label="Done">31 holes</td>' in page


def test_few_people_are_withheld_with_their_hours(reader: Client) -> None:
    kept = record(4)
    come(kept.session, adults=3, young=1)

    page = read(reader)

    assert page.count("<dd>fewer than 5</dd>") == 4
    assert "withheld: fewer than 5 people" in page
    assert "8.0" not in page


@pytest.mark.parametrize(("people", "shown"), [(0, None), (1, None), (4, None), (5, 5), (60, 60)])
def test_counts_under_five_are_not_told_from_none(people: int, shown: int | None) -> None:
    assert withhold_small(people) == shown


def test_nobody_is_named(reader: Client) -> None:
    kept = record(12)
    come(kept.session, adults=7, young=5)
    page = read(reader).replace(READER, "")

    for person in Person.objects.all():
        assert str(person) not in page
        assert person.code not in page.split()
    for account in User.objects.exclude(email=READER):
        assert account.email not in page


def test_a_reader_finds_the_totals_and_no_other_way(reader: Client) -> None:
    home = reader.get("/").content.decode()

    assert f'href="{TOTALS}"' in home
    assert "rule-book" not in home + reader.get(TOTALS).content.decode()


def test_a_reader_who_also_volunteers_keeps_both(reader: Client) -> None:
    role = Role.objects.get(user__email=READER)
    grant_role(user_id=role.user_id, site_id=role.site_id, kind="volunteer", at=NOW)

    assert reader.get(TOTALS).status_code == 200
    assert reader.get(f"{SITE}/sessions/").status_code == 200


def test_totals_are_for_readers_and_the_coordinator(sign_in: SignIn) -> None:
    found = {
        who: sign_in(who).get(TOTALS).status_code
        for who in (COORDINATOR, LEAD, VOLUNTEER, GUARDIAN, LIAISON)
    }

    assert found == {COORDINATOR: 200, LEAD: 404, VOLUNTEER: 404, GUARDIAN: 404, LIAISON: 404}
