"""Who of a school's staff is on file: by codes, adults alone, and never against a booking."""

from datetime import timedelta

import pytest

from scheduling.domain.data_map import DAYS_REQUESTS
from scheduling.domain.errors import ClassRefused
from scheduling.models import ClassRequest, Person, SchoolGroup, Session, SignUp
from scheduling.services.class_bookings import record_group_signup
from scheduling.services.class_files import keep_class_staff
from scheduling.services.erasure import erase_person, purge
from tests.signed_in import COORDINATOR, NOW, SITE, SignIn, sign_in  # noqa: F401 (fixture)

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

STAFF = ("P34", "P35", "P36", "P37")


@pytest.fixture
def group(db: None) -> SchoolGroup:
    """Class 7, alone in S02, where no adult beside its own is there."""
    group = SchoolGroup.objects.get(code="SLUICE-7")
    session = Session.objects.get(code="S02")
    SignUp.objects.filter(group=group).delete()
    Session.objects.filter(pk=session.pk).update(capacity=90)
    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=NOW)
    assert receipt.state == "confirmed"
    return group


def keep(group: SchoolGroup, *codes: str) -> tuple[str, ...]:
    return keep_class_staff(
        site_id=group.site_id, group_id=group.pk, codes=codes, on=NOW.date(), at=NOW
    )


def on_file(group: SchoolGroup) -> set[str]:
    return set(group.staff.values_list("code", flat=True))


def test_codes_put_adults_on_file_in_any_case_and_twice_is_once(group: SchoolGroup) -> None:
    for _ in range(2):
        names = keep(group, *(code.lower() for code in STAFF), "P38")
    assert on_file(group) == {*STAFF, "P38"}
    assert len(names) == 5


@pytest.mark.parametrize(("code", "words"), [("P999", "Nobody on the site"), ("P53", "under 18")])
def test_nobody_and_the_young_are_no_staff(group: SchoolGroup, code: str, words: str) -> None:
    with pytest.raises(ClassRefused, match=words):
        keep(group, *STAFF, code)
    assert on_file(group) == set(STAFF)


def test_staff_that_a_booking_needs_are_not_taken_off_it(group: SchoolGroup) -> None:
    with pytest.raises(ClassRefused, match="would not hold"):
        keep(group)

    assert on_file(group) == set(STAFF)
    SignUp.objects.filter(group=group).delete()
    assert keep(group) == ()
    assert on_file(group) == set()


def test_the_coordinators_page_keeps_them(group: SchoolGroup, sign_in: SignIn) -> None:  # noqa: F811
    client, page = sign_in(COORDINATOR), f"{SITE}/class-files/SLUICE-7/"
    assert "P34 P35 P36 P37" in client.get(page).content.decode()

    refused = client.post(page, {"codes": "P34 P999"}).content.decode()
    kept = client.post(page, {"codes": "P34, P35 P36 P37 P38"}, follow=True).content.decode()

    assert "Nothing was changed. Nobody on the site" in refused
    assert "Staff of Class 7:" in kept
    assert on_file(group) == {*STAFF, "P38"}


def test_requests_go_with_their_liaison_and_after_a_year(group: SchoolGroup) -> None:
    person = Person.objects.get(code="P06")
    SignUp.objects.filter(person=person).delete()

    def ask(liaison_id: int) -> None:
        ClassRequest.objects.create(
            site=group.site, liaison_id=liaison_id, name="Class 9b", school="Weir School",
            pupils_by_age={"14": 20}, weekdays=[1], asked_at=NOW,
        )  # fmt: skip

    ask(person.user_id)
    ask(group.liaison_id)
    erase_person(person_id=person.pk, asked_by="themselves", at=NOW)
    assert [row.liaison_id for row in ClassRequest.objects.all()] == [group.liaison_id]

    for days, left in ((DAYS_REQUESTS, 1), (DAYS_REQUESTS + 1, 0)):
        at = NOW + timedelta(days=days)
        purge(at=at, on=at.date())
        assert ClassRequest.objects.count() == left
