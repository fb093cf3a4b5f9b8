"""The page on fixed places: fixing, seeing them marked by word and shape, releasing."""

from http import HTTPStatus

import pytest

from scheduling.models import Person, RosterLock, Session
from scheduling.queries.problems import load_roster_problem
from tests.signed_in import COORDINATOR, LEAD, S02, STRANGER, SignIn

FIXED = f"{S02}/roster/fixed/"


@pytest.fixture
def place(small_day: Session) -> dict[str, str]:
    """P05 at the weeding in round 2, as the form sends it."""
    task = next(t for t in load_roster_problem(small_day.pk).tasks if t.required)
    person = Person.objects.get(code="P05")
    return {"person": str(person.pk), "round": "1", "task": str(task.id)}


def test_a_fixed_place_is_marked_on_both_pages_by_a_word_with_its_shape(
    sign_in: SignIn, small_day: Session, place: dict[str, str]
) -> None:
    client = sign_in(COORDINATOR)

    text = client.post(FIXED, place, follow=True).content.decode()
    client.post(f"{S02}/roster/propose/")
    roster = client.get(f"{S02}/roster/").content.decode()

    assert "1 place fixed." in text
    assert "fixed</span></td>" in text
    assert "Fix places before a search (1 fixed)" in roster
    name = Person.objects.get(code="P05").first_name
    marked = roster[: roster.index(f"fixed</span> {name}")]
    assert marked.rstrip().endswith("</svg>")


def test_somebody_rests_in_every_round(
    sign_in: SignIn, small_day: Session, place: dict[str, str]
) -> None:
    client = sign_in(COORDINATOR)

    text = client.post(FIXED, place | {"round": "-1", "task": ""}, follow=True).content.decode()

    assert f"{small_day.rounds} places fixed." in text
    assert RosterLock.objects.filter(task=None).count() == small_day.rounds
    assert "rests</span>" in text


def test_a_contradiction_is_told_on_the_page_and_nothing_is_fixed(
    sign_in: SignIn, small_day: Session, place: dict[str, str]
) -> None:
    Person.objects.filter(code="P05").update(restrictions=["no kneeling"])

    answer = sign_in(COORDINATOR).post(FIXED, place)

    assert answer.status_code == HTTPStatus.OK
    assert "What is fixed leaves no roster." in answer.content.decode()
    assert not RosterLock.objects.exists()


@pytest.mark.parametrize(
    "wrong", [{"person": "999999"}, {"round": "77"}, {"task": "0"}, {"person": ""}, {"round": "x"}]
)
def test_what_the_session_does_not_have_is_refused_beside_the_field(
    sign_in: SignIn, small_day: Session, place: dict[str, str], wrong: dict[str, str]
) -> None:
    answer = sign_in(COORDINATOR).post(FIXED, place | wrong)

    assert "Put this right first" in answer.content.decode()
    assert not RosterLock.objects.exists()


def test_releasing_is_once_and_of_this_session_only(
    sign_in: SignIn, small_day: Session, place: dict[str, str]
) -> None:
    client = sign_in(COORDINATOR)
    client.post(FIXED, place)
    lock = {"lock": RosterLock.objects.get().pk}

    client.post(FIXED.replace("/S02/", "/S05/") + "release/", lock)
    assert RosterLock.objects.exists()
    released = client.post(f"{FIXED}release/", lock, follow=True).content.decode()
    again = client.post(f"{FIXED}release/", lock, follow=True).content.decode()

    assert "Released." in released
    assert "released already" in again
    assert "Nothing is fixed; the planner is free." in again


def test_fixing_is_the_coordinators_of_this_site(
    sign_in: SignIn, small_day: Session, place: dict[str, str]
) -> None:
    for who in (LEAD, STRANGER):
        assert sign_in(who).post(FIXED, place).status_code == HTTPStatus.NOT_FOUND
    elsewhere = FIXED.replace("traverser-yard", "elsewhere")
    assert sign_in(STRANGER).get(elsewhere).status_code == HTTPStatus.NOT_FOUND
    assert not RosterLock.objects.exists()


def test_a_place_the_roster_was_made_without_says_from_when_it_holds(
    sign_in: SignIn, small_day: Session, place: dict[str, str]
) -> None:
    client = sign_in(COORDINATOR)
    client.post(FIXED, place | {"task": ""})  # they rest in round 2, so no roster has them at work
    client.post(f"{S02}/roster/propose/")
    client.post(FIXED, place)

    text = " ".join(client.get(FIXED).content.decode().split())

    assert "from the next search on" in text
    assert "have changed since it was searched" in client.get(f"{S02}/roster/").content.decode()
