"""Weather, ground, moves and the day now: typed, judged at once, and nothing kept unasked."""

from html import unescape
from http import HTTPStatus

import pytest

from scheduling.models import Person, Roster, Session, SessionGround, WeatherSheet
from tests.signed_in import COORDINATOR, LEAD, S02, SignIn

HOT = {
    "temperature_c": "29",
    "dew_point_c": "21",
    "sun": "yes",
    "wind_kmh": "5",
    "gust_kmh": "10",
    "uv_index": "2",
    "aqhi": "2",
    "thunder": "no",
    "water_litres": "50",
}


@pytest.fixture
def draft(sign_in: SignIn, small_day: Session) -> Roster:
    sign_in(COORDINATOR).post(f"{S02}/roster/propose/")
    return Roster.objects.get(session=small_day)


def test_a_typed_forecast_shows_at_once_what_it_makes_of_the_day(
    sign_in: SignIn,
    small_day: Session,
) -> None:
    client = sign_in(LEAD)
    empty = client.get(f"{S02}/weather/").content.decode()

    text = client.post(f"{S02}/weather/", HOT, follow=True).content.decode()

    assert "no sheet yet" in empty
    assert "</svg>amber</span>" in text
    assert "4 of 20 minutes, breaks of 20" in text
    assert "Humidex 41" in text
    assert "OHCOW" in text
    assert 'value="29.0"' in text
    assert WeatherSheet.objects.get(session=small_day).typed_name == "Wojciech Żurawiecki"


def test_nothing_typed_is_kept_as_unknown_and_never_as_fine(
    sign_in: SignIn,
    small_day: Session,
) -> None:
    text = sign_in(COORDINATOR).post(f"{S02}/weather/", {}, follow=True).content.decode()

    assert "Nothing is typed, so nothing is known" in text
    sheet = WeatherSheet.objects.get(session=small_day)
    assert (sheet.temperature_c, sheet.thunder, sheet.sun) == (None, None, None)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"temperature_c": "99"}, "less than or equal to 60"),
        ({"temperature_c": "hot"}, "Enter a number."),
        ({"dew_point_c": "35"}, "A dew point of 35 °C above the temperature of 29 °C cannot be"),
        ({"last_thunder": "25:00"}, "Enter a valid time."),
    ],
)
def test_figures_that_cannot_be_are_asked_for_again(
    sign_in: SignIn,
    small_day: Session,
    changes,
    said,
) -> None:
    text = unescape(sign_in(COORDINATOR).post(f"{S02}/weather/", HOT | changes).content.decode())

    assert "Put this right first" in text
    assert said in text
    assert not WeatherSheet.objects.exists()


def test_the_last_thunder_is_kept_on_the_sessions_day_in_its_zone(
    sign_in: SignIn,
    small_day: Session,
) -> None:
    sign_in(COORDINATOR).post(f"{S02}/weather/", HOT | {"last_thunder": "10:20"})

    at = WeatherSheet.objects.get(session=small_day).last_thunder_at
    assert at is not None
    assert at.isoformat() == "2027-03-20T09:20:00+00:00"


def test_ground_is_noted_area_by_area(
    sign_in: SignIn,
    small_day: Session,
) -> None:
    client = sign_in(LEAD)

    client.post(f"{S02}/ground/", {"soil_A": "block", "frozen_A": "no"})
    text = client.get(f"{S02}/ground/").content.decode()

    noted = SessionGround.objects.get(session=small_day, area__code="A")
    assert (noted.soil, noted.frozen) == ("block", False)
    assert "Noted so far" in text
    assert "Wojciech Żurawiecki" in text


def test_a_move_is_looked_at_first_and_then_kept(sign_in: SignIn, draft: Roster) -> None:
    client = sign_in(COORDINATOR)
    place = draft.places.first()
    assert place is not None
    asked = {"roster": draft.pk, "person": place.person_id, "round": place.round, "task": ""}

    looked = client.get(f"{S02}/roster/move/", asked).content.decode()
    assert Roster.objects.filter(session=draft.session).count() == 1
    kept = client.post(f"{S02}/roster/move/", asked, follow=True).content.decode()

    assert "What the rules would say" in looked
    assert "Move and keep as a new draft" in looked
    assert "Kept as version 2" in kept
    assert "by hand</span>: changed by hand" in kept
    assert Roster.objects.get(session=draft.session, version=2).status == "by hand"


def test_a_move_in_a_roster_replaced_meanwhile_is_refused(sign_in: SignIn, draft: Roster) -> None:
    client = sign_in(COORDINATOR)
    place = draft.places.first()
    assert place is not None
    asked = {"roster": draft.pk, "person": place.person_id, "round": place.round, "task": ""}
    client.post(f"{S02}/roster/propose/")

    text = client.post(f"{S02}/roster/move/", asked, follow=True).content.decode()

    assert "Nobody was moved. A newer roster was made meanwhile" in text


def test_somebody_unknown_is_not_moved(sign_in: SignIn, draft: Roster) -> None:
    asked = {"roster": draft.pk, "person": 999_999, "round": 0, "task": ""}

    text = sign_in(COORDINATOR).post(f"{S02}/roster/move/", asked).content.decode()

    assert "Put this right first" in text
    assert Roster.objects.filter(session=draft.session).count() == 1


def test_moving_is_the_coordinators_and_the_day_now_is_the_leads_too(
    sign_in: SignIn, draft: Roster
) -> None:
    assert sign_in(LEAD).get(f"{S02}/roster/move/").status_code == HTTPStatus.NOT_FOUND
    assert sign_in(LEAD).get(f"{S02}/day-now/").status_code == HTTPStatus.OK


@pytest.mark.usefixtures("small_day")
def test_without_a_roster_there_is_nobody_to_move_and_no_day(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)

    assert client.get(f"{S02}/roster/move/").status_code == HTTPStatus.NOT_FOUND
    assert client.get(f"{S02}/day-now/").status_code == HTTPStatus.NOT_FOUND


def test_who_left_is_judged_and_not_kept(sign_in: SignIn, draft: Roster) -> None:
    client = sign_in(LEAD)
    people = Person.objects.filter(signups__session=draft.session).order_by("pk")[1:]

    text = client.get(
        f"{S02}/day-now/", {f"left_{person.pk}": "2" for person in people}
    ).content.decode()

    assert "Left before round 3: " in text
    assert "on rounds 3, 4" in text
    assert Roster.objects.filter(session=draft.session).count() == 1
    assert Roster.objects.get(session=draft.session).places.count() == draft.places.count()


def test_the_day_now_takes_no_posting(sign_in: SignIn, draft: Roster) -> None:
    assert sign_in(LEAD).post(f"{S02}/day-now/").status_code == HTTPStatus.METHOD_NOT_ALLOWED
