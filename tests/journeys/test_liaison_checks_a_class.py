"""The liaison's way: counts by age against a session, what is missing and why, then the class."""

import re
from http import HTTPStatus

import pytest
from django.test import Client
from django.utils import timezone

from scheduling.models import CheckRecord, Person, SchoolGroup, Session, SignUp
from tests.journeys.conftest import Enter
from tests.signed_in import LIAISON, OTHER_LIAISON, SITE

CHECK = f"{SITE}/classes/SLUICE-7/check/"
BOOK = f"{SITE}/classes/SLUICE-7/sign-up/"


@pytest.fixture
def liaison(enter: Enter) -> Client:
    return enter(LIAISON)


@pytest.fixture
def empty(enter: Enter) -> Session:
    """S06 with nobody signed up and room for a class, so that only the class is counted."""
    session = Session.objects.get(code="S06")
    SignUp.objects.filter(session=session).delete()
    Session.objects.filter(pk=session.pk).update(capacity=48)
    return session


def numbers(session: Session, *, staff: int, checked: int, **ages: int) -> dict[str, int]:
    return {"session": session.pk, "staff": staff, "checked_staff": checked, **ages}


def amounts(text: str, label: str) -> list[int]:
    cells = re.findall(rf'data-label="{label}">(?:<strong>)?(\d+)', text)
    return [int(cell) for cell in cells]


@pytest.mark.parametrize(
    ("ages", "required"),
    [
        # NSPCC Learning, recommended adult to child ratios: 4 to 8 years one to 6, 9 to 12 years
        # one to 8, 13 to 18 years one to 10, and never fewer than two adults; the site adds one
        # in charge to the ratio.
        ({"age_8": 12}, 2 + 1),
        ({"age_8": 13}, 3 + 1),
        ({"age_10": 16}, 2 + 1),
        ({"age_10": 17}, 3 + 1),
        ({"age_15": 20}, 2 + 1),
        ({"age_15": 21}, 3 + 1),
        ({"age_15": 3}, 2),
    ],
)
def test_counts_by_age_give_the_adults_that_the_published_ratio_asks_for(
    liaison: Client, empty: Session, ages: dict[str, int], required: int
) -> None:
    text = liaison.get(CHECK, numbers(empty, staff=0, checked=0, **ages)).content.decode()

    ratio_lines = [line for line in text.split("<tr>") if "NSPCC" in line and "Missing" in line]
    assert ratio_lines
    assert max(amounts(" ".join(ratio_lines), "Required")) == required
    assert "not met" in text
    assert SignUp.objects.filter(session=empty).count() == 0


def test_what_is_missing_is_what_is_required_less_what_is_there(
    liaison: Client, empty: Session
) -> None:
    text = liaison.get(
        CHECK, numbers(empty, staff=2, checked=2, age_10=13, age_11=9)
    ).content.decode()

    rows = list(
        zip(
            amounts(text, "Required"), amounts(text, "There"), amounts(text, "Missing"), strict=True
        )
    )
    assert rows
    for required, there, missing in rows:
        assert missing == max(0, required - there)
    assert (3, 2, 1) in rows  # 22 pupils at one to 8
    assert text.count("Rule and source") == len(rows) + 1


def test_enough_adults_are_met_and_the_class_is_booked_once(
    liaison: Client, empty: Session
) -> None:
    # One of the four staff is a first aider, who counts once there is another: 22 at one to 8 and
    # one in charge need all four.
    in_date = {"skills__skill": "first_aid", "skills__last_day__gte": empty.starts_at.date()}
    aider = Person.objects.filter(staff_of=None, **in_date).order_by("pk")[0]
    confirmed = SignUp.State.CONFIRMED
    SignUp.objects.create(session=empty, person=aider, state=confirmed, at=timezone.now())
    on_file = numbers(empty, staff=4, checked=4, age_10=13, age_11=9)
    on_file |= {"helpers": 2, "checked_helpers": 1, "needing_own_adult": 1}
    text = liaison.get(CHECK, on_file).content.decode()
    assert "Sign Class 7 up" in text

    for _ in range(2):
        liaison.post(BOOK, {"session": empty.pk}, follow=True)

    assert SignUp.objects.filter(session=empty, group__isnull=False).count() == 1
    listed = liaison.get(f"{SITE}/classes/").content.decode()
    assert empty.title in listed


def test_a_class_that_may_not_come_is_booked_not_even_in_part(
    liaison: Client, empty: Session
) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    CheckRecord.objects.filter(person__staff_of=group).delete()

    text = liaison.post(BOOK, {"session": empty.pk}).content.decode()

    assert "Not signed up" in text
    assert "What would clear it:" in text
    assert not SignUp.objects.filter(session=empty).exists()


def test_a_class_too_large_for_the_session_is_told_so_by_the_check_too(
    liaison: Client, empty: Session
) -> None:
    Session.objects.filter(pk=empty.pk).update(capacity=25)

    checked = liaison.get(
        CHECK, numbers(empty, staff=4, checked=4, age_10=13, age_11=9)
    ).content.decode()
    booked = liaison.post(BOOK, {"session": empty.pk}).content.decode()

    for text in (checked, booked):
        assert "S06 takes 25 people" in text
    assert not SignUp.objects.filter(session=empty).exists()


def test_another_schools_class_is_no_page(enter: Enter, empty: Session) -> None:
    stranger = enter(OTHER_LIAISON)

    assert stranger.get(CHECK).status_code == HTTPStatus.NOT_FOUND
    assert stranger.post(BOOK, {"session": empty.pk}).status_code == HTTPStatus.NOT_FOUND
    assert "Class 7" not in stranger.get(f"{SITE}/classes/").content.decode()
    assert not SignUp.objects.filter(session=empty).exists()
