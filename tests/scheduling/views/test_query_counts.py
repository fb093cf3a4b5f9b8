"""How often pages ask the database: a bound, so that a loop that asks anew each time is seen."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from orchard.models import Task
from scheduling.models import (
    Person,
    Roster,
    RosterLock,
    RosterPlace,
    SearchRun,
    Season,
    Session,
    SignUp,
)
from scheduling.queries.season_problems import load_open_season
from tests.signed_in import COORDINATOR, GUARDIAN, NOW, SEASON, SignIn

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


def queries_of(sign_in: SignIn, email: str, page: str, **headers: str) -> int:
    client = sign_in(email)
    client.get(page, **headers)  # what is looked up once a process is not the page's own
    with CaptureQueriesContext(connection) as asked:
        assert client.get(page, **headers).status_code == 200
    return len(asked)


def sign_everybody_up(session: Session) -> None:
    for person in Person.objects.exclude(signups__session=session):
        SignUp.objects.create(session=session, person=person, state=SignUp.State.CONFIRMED, at=NOW)


def test_the_roster_page_asks_no_more_for_more_people(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S01")
    roster = Roster.objects.create(
        session=session, version=1, status="good", value={}, bound={}, seconds=0.1,
        seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    task = Task.objects.get(key="RNG-A-1")
    few = queries_of(sign_in, COORDINATOR, f"{SEASON}/sessions/S01/roster/")

    sign_everybody_up(session)
    for person in Person.objects.all():
        RosterPlace.objects.create(roster=roster, person=person, round=0, task=task)

    many = queries_of(sign_in, COORDINATOR, f"{SEASON}/sessions/S01/roster/")
    assert many <= few + 3  # a page with tasks reads these, whatever their number
    assert many < 70


def test_season_and_sign_up_pages_ask_no_more_for_more_people(sign_in: SignIn) -> None:
    pages = ((COORDINATOR, f"{SEASON}/"), (GUARDIAN, f"{SEASON}/sessions/S01/"))
    few = [queries_of(sign_in, *page) for page in pages]

    for session in Session.objects.all():
        sign_everybody_up(session)

    many = [queries_of(sign_in, *page) for page in pages]
    # Somebody of the household comes now, so the roster is asked for their program as well.
    assert all(later <= before + 1 for before, later in zip(few, many, strict=True))
    assert max(many) < 20


def test_a_look_at_a_search_is_cheap_whoever_comes(sign_in: SignIn) -> None:
    """It is asked for every two seconds by everybody who watches."""
    session = Session.objects.get(code="S01")
    SearchRun.objects.create(
        site=session.season.site, kind="roster", session=session, state="waiting", seconds=60,
        seed=1, requested_at=NOW,
    )  # fmt: skip
    page = f"{SEASON}/sessions/S01/roster/search/?alone=1"
    few = queries_of(sign_in, COORDINATOR, page, HTTP_HX_REQUEST="true")

    sign_everybody_up(session)

    assert queries_of(sign_in, COORDINATOR, page, HTTP_HX_REQUEST="true") == few
    assert few < 12


def test_fixed_places_cost_the_roster_page_no_query_each(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S01")
    page = f"{SEASON}/sessions/S01/roster/fixed/"
    people = list(Person.objects.filter(signups__session=session)[:12])

    def fix(some: list[Person]) -> int:
        for person in some:
            RosterLock.objects.create(session=session, person=person, round=0, made_at=NOW)
        return queries_of(sign_in, COORDINATOR, page)

    assert fix(people[:1]) == fix(people[1:])


def test_the_repairs_form_costs_no_query_for_each_who_comes(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S01")
    Roster.objects.create(
        session=session, version=1, status="good", value={}, bound={}, seconds=0.1,
        seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    page = f"{SEASON}/sessions/S01/roster/repair/"
    few = queries_of(sign_in, COORDINATOR, page)

    sign_everybody_up(session)

    assert queries_of(sign_in, COORDINATOR, page) <= few + 1  # wishes, once anybody has one
    assert few < 40


def test_a_season_reads_its_site_once_however_many_sessions_it_has(sign_in: SignIn) -> None:
    """A session costs its sign-ups, its people and its day; the store and the ground are read once.

    Fourteen sessions took 328 queries when each read the site anew.
    """
    season = Season.objects.get()

    def ask() -> tuple[int, list[str]]:
        with CaptureQueriesContext(connection) as asked:
            load_open_season(season.pk, at=NOW)
        return len(asked), [each["sql"] for each in asked.captured_queries]

    ask()
    many, statements = ask()
    ahead = list(season.sessions.filter(starts_at__gt=NOW).order_by("starts_at"))
    assert len(ahead) == 14
    for table in ("orchard_tool", "orchard_material", "orchard_tree", "orchard_corridor"):
        assert sum(f'FROM "{table}"' in sql for sql in statements) <= 1, table
    for session in ahead[7:]:
        session.state = Session.State.CALLED_OFF
        session.save()

    few, _ = ask()
    assert (many - few) / 7 <= 10
    assert many < 160
