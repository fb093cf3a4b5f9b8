"""The pages of the days and the store in a person's own units, and what is typed in them."""

import re
from datetime import timedelta

import pytest
from django.test import Client

from orchard.models import Task
from scheduling.models import Roster, SeasonPlan, Session, WeatherSheet, WorkRecord
from scheduling.queries import runs
from tests.orchard.views.test_units_everywhere import METRIC, US, say, see_in
from tests.signed_in import COORDINATOR, NOW, S02, SITE, SignIn

WEATHER, RECORD = f"{S02}/weather/", f"{S02}/record/"
PAGES = (
    f"{SITE}/store/",
    f"{SITE}/seasons/2027/",
    f"{SITE}/seasons/2027/locates/",
    WEATHER,
    RECORD,
)
FOREIGN = {
    "us": re.compile(f"{METRIC.pattern}|\\d ?°C|\\d ?km/h"),
    "metric": re.compile(f"{US.pattern}|\\d ?°F|\\d ?mph"),
}
TYPED = {
    "us": {"temperature_c": "95", "wind_kmh": "40", "gust_kmh": "55", "water_litres": "50"},
    "metric": {"temperature_c": "35", "wind_kmh": "64", "gust_kmh": "89", "water_litres": "189"},
}


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_no_page_shows_a_bare_number_of_the_other_system(client: Client, system: str) -> None:
    see_in(system)
    assert client.post(WEATHER, TYPED[system]).status_code == 302

    wrong = {}
    for path in PAGES:
        answer = client.get(path)
        assert answer.status_code == 200, path
        words = say(answer.content.decode())
        found = [
            words[max(0, m.start() - 40) : m.end() + 20] for m in FOREIGN[system].finditer(words)
        ]
        if found:
            wrong[path] = found
    assert wrong == {}


def test_a_forecast_in_fahrenheit_and_miles_is_kept_in_metric_and_shown_again(
    client: Client,
) -> None:
    see_in("us")
    client.post(WEATHER, TYPED["us"])

    # NIST SP 811: 95 °F is 35 °C; 1 mile is 1.609344 km; 1 US gallon is 3.785412 L.
    kept = WeatherSheet.objects.get(session__code="S02")
    assert kept.temperature_c == 35
    assert kept.wind_kmh == pytest.approx(40 * 1.609344, abs=0.01)
    assert kept.water_litres == pytest.approx(50 * 3.785412, abs=0.01)
    page = client.get(WEATHER).content.decode()
    assert "Temperature (°F)" in page
    assert "Wind (mph)" in page
    assert re.search(r'name="temperature_c"[^>]*value="95', page)
    assert "55 mph: the day is called off" in page


def test_a_temperature_out_of_reach_is_refused_in_fahrenheit(client: Client) -> None:
    see_in("us")
    page = client.post(WEATHER, {"temperature_c": "150"}).content.decode()
    assert "140" in page  # 60 °C


@pytest.mark.usefixtures("small_day")
def test_a_record_in_square_feet_is_kept_in_whole_square_metres(client: Client) -> None:
    see_in("us")
    Session.objects.filter(code="S02").update(starts_at=NOW - timedelta(days=1))
    page = client.get(RECORD).content.decode()
    shown = {int(n) for n in re.findall(r'name="units_(\d+)"', page)}
    task = Task.objects.filter(pk__in=shown, unit="m²").order_by("pk")[0]
    assert "sq ft done" in page
    typed = {f"units_{pk}": "" for pk in shown}
    # 5 m² / 0.09290304 = 53.8 sq ft.
    typed |= {
        "people": "4",
        "near_misses": "",
        f"units_{task.pk}": "54",
        f"adults_{task.pk}": "2",
        f"minutes_{task.pk}": "60",
    }

    assert client.post(RECORD, typed).status_code == 302

    assert WorkRecord.objects.get(task=task).units == 5
    assert re.search(rf'name="units_{task.pk}"[^>]*value="54"', client.get(RECORD).content.decode())


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_planners_sentences_are_in_the_persons_units(
    client: Client, small_day: Session, system: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One round of ten minutes leaves square metres of weeding undone, which every page says."""
    for kind in runs.USUAL_SECONDS:
        monkeypatch.setitem(runs.USUAL_SECONDS, kind, 6.0)
    see_in(system)
    Session.objects.filter(pk=small_day.pk).update(rounds=1, round_minutes=10)
    SeasonPlan.objects.update(
        left_out=["Left out because 40 L of compost are missing: “Feed T28, 25 mm deep”."],
        notes=["Loads of at most 20 kg are carried."],
    )
    roster, chance, better, repair = (f"{S02}/roster/{page}" for page in ("", "chance/", "better/",
                                                                         "repair/"))  # fmt: skip
    client.post(f"{roster}propose/")
    client.post(chance)
    client.post(better, {"ask": "costs"})
    newest = Roster.objects.get(session=small_day)
    happened = {"roster": newest.pk, "next_round": 0, "round_minutes": 5}

    pages = {path: client.get(path) for path in (roster, chance, better, f"{SITE}/seasons/2027/")}
    pages[repair] = client.post(repair, happened)
    said = {path: say(answer.content.decode()) for path, answer in pages.items()}

    amount = r"[\d.]+ sq ft" if system == "us" else r"\d+ m²"  # titles are left out by `say`
    assert re.search(rf"Required and not finished: +\({amount} of {amount}\)", said[roster])
    assert re.search(rf"{amount} of +must be done", said[chance])
    assert re.search(rf"Give this session {amount} of +instead of {amount}", said[chance])
    assert re.search(rf"done so far, of {amount}", said[repair])
    assert ("lb are carried" in said[f"{SITE}/seasons/2027/"]) is (system == "us")
    wrong = {
        path: [
            words[max(0, m.start() - 40) : m.end() + 20] for m in FOREIGN[system].finditer(words)
        ]
        for path, words in said.items()
    }
    assert {path: found for path, found in wrong.items() if found} == {}
