"""With whom somebody would be in a crew: who may be named, what it does, and what nobody sees."""

import json
from html import unescape

import pytest
from django.test import Client

from orchard.models import Site, Task
from scheduling.domain.errors import PersonRefused
from scheduling.models import CompanyWish, Person, Roster, RosterPlace, Session, SignUp
from scheduling.queries.problems import load_roster_problem
from scheduling.services.erasure import erase_person
from scheduling.services.households import Wishes, keep_wishes
from tests.signed_in import GUARDIAN, NOW, SITE, STRANGER, SignIn

PEOPLE = f"{SITE}/my-people/"


@pytest.fixture
def guardian(season_of_the_file: None, db: None) -> Person:
    return Person.objects.get(user__email=GUARDIAN)


@pytest.fixture
def children(guardian: Person) -> list[Person]:
    return list(guardian.charges.filter(active=True).order_by("pk"))


def read(client: Client, person: Person) -> str:
    return unescape(client.get(f"{PEOPLE}{person.pk}/").content.decode())


def keep(client: Client, person: Person, **more: object) -> str:
    sent = {f"wishes-{key}": value for key, value in more.items()} | {"what": "wishes"}
    return unescape(client.post(f"{PEOPLE}{person.pk}/", sent, follow=True).content.decode())


def in_one_crew(*people: Person, state: str = "published") -> None:
    session = Session.objects.get(code="S01")
    roster = Roster.objects.create(
        session=session, version=7, status="good", value={}, bound={}, seconds=0.1, seed=1,
        engine="by hand", made_at=NOW, state=state,
    )  # fmt: skip
    task = Task.objects.order_by("pk")[0]
    for person in people:
        RosterPlace.objects.create(roster=roster, person=person, round=0, task=task)


def grown_stranger() -> Person:
    own = Person.objects.filter(user__isnull=False, guardian=None, birth_year__lt=1995)
    return own.exclude(user__email=GUARDIAN).filter(active=True).order_by("pk")[0]


def test_ones_household_and_adults_of_ones_crews_may_be_named(
    sign_in: SignIn, guardian: Person, children: list[Person]
) -> None:
    mate = grown_stranger()
    young = Person.objects.filter(guardian__isnull=False).exclude(guardian=guardian)[0]
    initial = f"{mate.first_name} {mate.family_name[0]}."
    client = sign_in(GUARDIAN)
    assert initial not in read(client, guardian)

    in_one_crew(guardian, mate, young)

    page = read(client, guardian)
    assert "Would like to be in a crew with" in page
    assert initial in page
    assert children[0].first_name in page
    assert mate.family_name not in page
    assert f'value="{young.pk}"' not in page


def test_a_crew_of_a_draft_names_nobody(sign_in: SignIn, guardian: Person) -> None:
    mate = grown_stranger()
    in_one_crew(guardian, mate, state="draft")

    assert f"{mate.first_name} {mate.family_name[0]}." not in read(sign_in(GUARDIAN), guardian)


def test_what_is_said_is_kept_shown_and_taken_back(
    sign_in: SignIn, guardian: Person, children: list[Person]
) -> None:
    client = sign_in(GUARDIAN)
    keep(client, guardian, company=[children[0].pk], heavy_liking="-1")
    keep(client, guardian, company=[children[0].pk], heavy_liking="-1")

    assert list(guardian.company_wishes.values_list("other", flat=True)) == [children[0].pk]
    guardian.refresh_from_db()
    assert guardian.heavy_liking == -1
    assert "checked" in read(client, guardian)

    keep(client, guardian)

    assert not guardian.company_wishes.exists()


def test_somebody_who_may_not_be_named_is_refused(sign_in: SignIn, guardian: Person) -> None:
    page = keep(sign_in(GUARDIAN), guardian, company=[grown_stranger().pk])

    assert "valid choice" in page
    assert not CompanyWish.objects.exists()


def test_the_service_refuses_too_many_strangers_and_oneself(guardian: Person) -> None:
    own = {
        "user_id": guardian.user_id,
        "site_id": guardian.site_id,
        "person_id": guardian.pk,
    }
    others = list(
        Person.objects.filter(site=guardian.site, active=True)
        .exclude(pk=guardian.pk)
        .values_list("pk", flat=True)[:4]
    )
    for company, sentence in (
        (tuple(others), "4 people are named"),
        ((guardian.pk,), "choose again"),
        ((10**7,), "choose again"),
    ):
        with pytest.raises(PersonRefused, match=sentence):
            keep_wishes(**own, wishes=Wishes(company=company, heavy_liking=1))
    with pytest.raises(PersonRefused, match="Heavy work is liked by 2"):
        keep_wishes(**own, wishes=Wishes(heavy_liking=2))
    guardian.refresh_from_db()
    assert guardian.heavy_liking == 0


def test_the_roster_problem_knows_whom_of_those_coming_they_named(
    guardian: Person, children: list[Person]
) -> None:
    session = Session.objects.get(code="S02")
    for person in (guardian, children[0]):
        SignUp.objects.update_or_create(
            session=session, person=person, defaults={"state": "confirmed", "at": NOW}
        )
    absent = Person.objects.filter(site=guardian.site, active=True).exclude(
        signups__session=session
    )
    CompanyWish.objects.create(person=guardian, other=children[0])
    CompanyWish.objects.create(person=guardian, other=absent[0])
    Person.objects.filter(pk=guardian.pk).update(heavy_liking=1)

    people = {person.id: person for person in load_roster_problem(session.pk).people}

    assert people[guardian.pk].companions == (children[0].pk,)
    assert people[guardian.pk].heavy_liking == 1
    assert people[children[0].pk].companions == ()


def test_who_is_named_does_not_read_it_and_who_named_reads_the_printed_name(
    sign_in: SignIn, guardian: Person
) -> None:
    mate = grown_stranger()
    CompanyWish.objects.create(person=guardian, other=mate)

    mine = sign_in(GUARDIAN).get(f"{PEOPLE}{guardian.pk}/held.json").json()
    theirs = sign_in(mate.user.email).get(f"{PEOPLE}{mate.pk}/held.json")

    named = f"{mate.first_name} {mate.family_name[0]}."
    assert mine["held"]["scheduling.CompanyWish"] == [{"other": named}]
    assert "CompanyWish" not in json.dumps(theirs.json()["held"])


def test_erasing_either_ends_the_wish(guardian: Person) -> None:
    mate = grown_stranger()
    CompanyWish.objects.create(person=guardian, other=mate)
    CompanyWish.objects.create(person=mate, other=guardian)
    mate.signups.all().delete()

    erase_person(person_id=mate.pk, asked_by="themselves", at=NOW)

    assert not CompanyWish.objects.exists()


def test_another_site_names_nobody_of_this_one(sign_in: SignIn, guardian: Person) -> None:
    other = Site.objects.get(slug="elsewhere")
    stranger = Person.objects.create(
        site=other, code="E1", first_name="Eve", birth_year=1980, birth_month=1
    )
    with pytest.raises(PersonRefused, match="choose again"):
        keep_wishes(
            user_id=guardian.user_id,
            site_id=guardian.site_id,
            person_id=guardian.pk,
            wishes=Wishes(company=(stranger.pk,)),
        )
    assert sign_in(STRANGER).get(f"{PEOPLE}{guardian.pk}/").status_code == 404
