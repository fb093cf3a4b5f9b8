"""The forecast and the ground as typed: kept as they are, and the day follows."""

from datetime import timedelta

import pytest

from orchard.models import User
from scheduling.domain.day_facts import Forecast, Soil
from scheduling.domain.errors import SessionUnknown
from scheduling.domain.weather import DayState
from scheduling.models import Session, SessionGround, WeatherSheet
from scheduling.queries.day_weather import load_day_weather
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster
from scheduling.queries.weather import find_sheet, load_ground
from scheduling.services.day_sheets import GroundNote, record_ground, record_weather
from scheduling.services.rosters import propose_roster
from scheduling.sheets.content import build_day_pack
from tests.scheduling.services.test_rosters import QUICK
from tests.signed_in import COORDINATOR, NOW

# OHCOW, Humidex Based Heat Response Plan, moderate work, unacclimatised: humidex 38 and 39 ask
# for 15 minutes of relief in each hour. 29 °C with dew point 21 °C is a humidex of about 37.2;
# in the sun 4 more, 41: 30 minutes in each hour.
HOT = Forecast(
    temperature_c=29, dew_point_c=21, sun=True, wind_kmh=5, gust_kmh=10, uv_index=2, aqhi=2,
    thunder=False,
)  # fmt: skip
MILD = Forecast(
    temperature_c=15, dew_point_c=5, sun=False, wind_kmh=5, gust_kmh=10, uv_index=2, aqhi=2,
    thunder=False,
)  # fmt: skip


@pytest.fixture
def by(db: None) -> int:
    return User.objects.get(email=COORDINATOR).pk


def type_in(session: Session, by: int, forecast: Forecast) -> None:
    record_weather(
        session_id=session.pk, forecast=forecast, water_litres=40, last_thunder_at=None, by=by,
        at=NOW,
    )  # fmt: skip


def test_what_is_typed_comes_back_and_what_is_not_is_unknown(small_day: Session, by: int) -> None:
    type_in(small_day, by, Forecast(temperature_c=12.5, thunder=False))

    sheet = find_sheet(small_day.pk)
    assert sheet is not None
    assert sheet.forecast == Forecast(temperature_c=12.5, thunder=False)
    assert (sheet.water_litres, sheet.typed_name, sheet.typed_at) == (40, "Ilse Vandermolen", NOW)
    facts = load_roster_problem(small_day.pk).facts
    assert facts is not None
    assert facts.forecast == sheet.forecast


def test_typing_again_replaces_and_never_adds(small_day: Session, by: int) -> None:
    type_in(small_day, by, HOT)
    type_in(small_day, by, MILD)

    assert WeatherSheet.objects.filter(session=small_day).count() == 1
    sheet = find_sheet(small_day.pk)
    assert sheet is not None
    assert sheet.forecast == MILD


def test_without_a_sheet_there_is_no_verdict(small_day: Session) -> None:
    day = load_day_weather(small_day.pk)

    assert (day.sheet, day.verdict) == (None, None)


def test_a_mild_day_goes_as_planned(small_day: Session, by: int) -> None:
    type_in(small_day, by, MILD)

    verdict = load_day_weather(small_day.pk).verdict
    assert verdict is not None
    assert verdict.state is DayState.GO
    assert load_roster_problem(small_day.pk).round_minutes == small_day.round_minutes


def test_heat_shortens_the_rounds_of_roster_page_and_paper_and_keeps_the_clock(
    small_day: Session, by: int
) -> None:
    type_in(small_day, by, HOT)
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)

    verdict = load_day_weather(small_day.pk).verdict
    roster = find_current_roster(small_day.pk)
    assert verdict is not None
    assert roster is not None
    # 30 minutes of relief in an hour leave 20 of a period of 40 (30 and a break of 10).
    assert (verdict.round_minutes, verdict.break_minutes) == (20, 20)
    assert load_roster_problem(small_day.pk).round_minutes == 20
    rounds = roster.printed.session.rounds
    assert {r.ends_at - r.starts_at for r in rounds} == {timedelta(minutes=20)}
    assert rounds[1].starts_at - rounds[0].starts_at == timedelta(minutes=40)
    assert roster.printed.session.starts_at == small_day.starts_at
    said = {fact.label: fact.text for fact in build_day_pack(roster.printed).briefing.weather}
    assert "Rounds of 20 min, breaks of 20 min" in said["The day"]
    assert "Humidex 41" in " ".join(said.values())


def test_the_briefing_says_nothing_of_weather_nobody_typed(small_day: Session) -> None:
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)

    roster = find_current_roster(small_day.pk)
    assert roster is not None
    assert build_day_pack(roster.printed).briefing.weather == ()


def test_ground_that_is_not_workable_is_known_to_the_rules(small_day: Session, by: int) -> None:
    record_ground(
        session_id=small_day.pk,
        notes=(GroundNote("A", Soil.BLOCK, False), GroundNote("B", Soil.UNKNOWN, None)),
        by=by,
        at=NOW,
    )

    facts = load_roster_problem(small_day.pk).facts
    assert facts is not None
    zone = facts.find_zone("A")
    assert zone is not None
    assert (zone.soil, zone.frozen) == (Soil.BLOCK, False)
    other = facts.find_zone("C")
    assert other is not None
    assert (other.soil, other.frozen) == (Soil.UNKNOWN, None)


def test_noting_an_area_again_changes_it_alone(small_day: Session, by: int) -> None:
    for soil in (Soil.WAIT, Soil.GO):
        record_ground(session_id=small_day.pk, notes=(GroundNote("A", soil, None),), by=by, at=NOW)

    assert [(line.area, line.soil) for line in load_ground(small_day.pk)] == [("A", Soil.GO)]
    assert SessionGround.objects.count() == 1


def test_the_site_as_loaded_is_known_to_the_rules(small_day: Session) -> None:
    facts = load_roster_problem(small_day.pk).facts
    assert facts is not None

    # fixtures/site.toml and areas.toml: two toilets; A tested and clear, B a building's footprint.
    assert (facts.toilets, facts.hand_washes, facts.shelter.value) == (2, 2, "building")
    clear, building = facts.find_zone("A"), facts.find_zone("B")
    assert clear is not None
    assert building is not None
    assert (clear.soil_test_clear, building.was_building) == (True, True)
    assert building.soil_test_on is None
    barrow = facts.find_tool("barrow")
    assert barrow is not None
    assert barrow.mass_kg == 13
    assert facts.sunrise is not None
    assert facts.sunset is not None
    assert facts.sunrise < small_day.starts_at < facts.sunset


def test_a_session_that_is_not_there_is_said_to_be_so(small_day: Session, by: int) -> None:
    with pytest.raises(SessionUnknown):
        record_weather(
            session_id=999_999, forecast=MILD, water_litres=None, last_thunder_at=None, by=by,
            at=NOW,
        )  # fmt: skip
    with pytest.raises(SessionUnknown):
        record_ground(session_id=999_999, notes=(), by=by, at=NOW)


def test_an_area_of_another_site_is_refused_and_nothing_is_kept(
    small_day: Session, by: int
) -> None:
    with pytest.raises(KeyError):
        record_ground(
            session_id=small_day.pk,
            notes=(GroundNote("A", Soil.GO, None), GroundNote("NOWHERE", Soil.GO, None)),
            by=by,
            at=NOW,
        )
    assert not SessionGround.objects.exists()
