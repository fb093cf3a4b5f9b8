"""The weather sheet of a session, and how its ground feels: typed in, judged at once."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orchard.domain.units import System
from orchard.queries.roles import Standing
from scheduling.domain.day_facts import Soil
from scheduling.forms.day_sheets import GroundForm, WeatherForm
from scheduling.queries.day_weather import DayWeather, load_day_weather
from scheduling.queries.sessions import SessionPage
from scheduling.queries.weather import load_ground
from scheduling.services.day_sheets import record_ground, record_weather
from scheduling.views.access import get_session, site_page


@site_page("scheduling.type_weather")
@require_http_methods(["GET", "HEAD", "POST"])
def show_weather(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show what the forecast makes of the day, and take a new one; every field may be empty."""
    page = get_session(standing, season, session)
    form = (
        WeatherForm(request.POST, system=standing.system)
        if request.method == "POST"
        else _weather_form(page, standing.system)
    )
    if form.is_bound and form.is_valid():
        record_weather(
            session_id=page.id,
            forecast=form.to_forecast(),
            water_litres=form.water_l,
            last_thunder_at=form.last_thunder_at(page.starts_at),
            by=standing.user_id,
            at=timezone.now(),
        )
        messages.success(request, "Kept. This is what it makes of the day.")
        return redirect("weather", slug=standing.slug, season=season, session=session)
    context = {"session": page, "day": load_day_weather(page.id), "form": form}
    return render(request, "scheduling/day_sheets/weather.html", context)


@site_page("scheduling.type_weather")
@require_http_methods(["GET", "HEAD", "POST"])
def show_ground(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Take how the ground of each area worked in feels on the morning."""
    page = get_session(standing, season, session)
    day = load_day_weather(page.id)
    if request.method == "POST":
        form = GroundForm(request.POST, areas=day.areas)
        if form.is_valid():
            record_ground(
                session_id=page.id, notes=form.to_notes(), by=standing.user_id, at=timezone.now()
            )
            messages.success(request, "Kept. The roster’s findings follow it.")
            return redirect("roster", slug=standing.slug, season=season, session=session)
    else:
        form = GroundForm(areas=day.areas, initial=_ground_initial(page))
    context = {"session": page, "day": day, "form": form, "noted": load_ground(page.id)}
    return render(request, "scheduling/day_sheets/ground.html", context)


def _weather_form(page: SessionPage, system: System) -> WeatherForm:
    day: DayWeather = load_day_weather(page.id)
    if day.sheet is None:
        return WeatherForm(system=system)
    forecast = day.sheet.forecast
    initial = {name: getattr(forecast, name) for name in type(forecast).__dataclass_fields__}
    for name in ("sun", "thunder"):
        initial[name] = {True: "yes", False: "no", None: ""}[initial[name]]
    initial["water_litres"] = day.sheet.water_litres
    if day.sheet.last_thunder_at:
        initial["last_thunder"] = timezone.localtime(day.sheet.last_thunder_at).strftime("%H:%M")
    return WeatherForm(initial=initial, system=system)


def _ground_initial(page: SessionPage) -> dict[str, str]:
    initial: dict[str, str] = {}
    for line in load_ground(page.id):
        initial[f"soil_{line.area}"] = line.soil.value if line.soil else Soil.UNKNOWN.value
        initial[f"frozen_{line.area}"] = {True: "yes", False: "no", None: ""}[line.frozen]
    return initial
