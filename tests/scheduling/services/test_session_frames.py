"""What a process keeps of a session is thrown away by whatever changes, and by nothing else."""

import re
from datetime import UTC, date, datetime

import pytest
from django.apps import apps
from django.db import connection, models
from django.test.utils import CaptureQueriesContext

from orchard.models import Area, Locate, Tool
from orchard.queries.row_marks import WatchedRows, mark_rows
from scheduling.models import (
    PlannedWork,
    RosterLock,
    SeasonPlan,
    Session,
    SessionGround,
    WeatherSheet,
)
from scheduling.queries import session_frames
from scheduling.queries.problems import load_admission_problem, load_roster_problem
from scheduling.queries.session_frames import load_frame, read_frame
from scheduling.queries.session_rows import get_session_row
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

READ_FROM_ELSEWHERE = {
    "scheduling_season": "its site never changes",
    "scheduling_seasonplan": "whether it is the current one is asked in the mark's condition",
    "scheduling_schoolgroup": "a class's name and school are joined, and not kept",
}


@pytest.fixture
def session(season_of_the_file: None) -> Session:
    """S01 with a row in every table that a frame is read from."""
    row = Session.objects.get(code="S01")
    plan = SeasonPlan.objects.create(
        season=row.season, made_at=NOW, status="good", seconds=0.1, seed=1, engine="by hand"
    )
    task = apps.get_model("orchard.Task").objects.filter(state="open").first()
    PlannedWork.objects.create(season_plan=plan, session=row, task=task, units=1)
    WeatherSheet.objects.create(session=row, temperature_c=20, typed_at=NOW)
    area = Area.objects.filter(site=row.season.site).first()
    SessionGround.objects.create(session=row, area=area, noted_at=NOW)
    return get_session_row(row.pk)


def mark(session: Session) -> str:
    return mark_rows(session_frames._WATCHED, session=session.pk, site=session.season.site_id)


CHANGES = {
    "orchard_site": ("toilets", 77),
    "orchard_tool": ("on_hand", 77),
    "orchard_material": ("kg_per_m3", 777),
    "orchard_area": ("past_use", "a yard"),
    "orchard_tree": ("inspected_on", date(2027, 1, 9)),
    "orchard_corridor": ("width_m", 7.7),
    "orchard_locate": ("marked_on", date(2027, 1, 9)),
    "orchard_plan": ("code", "ZZ"),
    "orchard_task": ("content_digest", "f" * 64),
    "scheduling_session": ("starts_at", datetime(2027, 6, 6, 9, 0, tzinfo=UTC)),
    "scheduling_plannedwork": ("units", 77),
    "scheduling_weathersheet": ("temperature_c", 41.5),
    "scheduling_sessionground": ("frozen", True),
    "scheduling_adoption": ("adopted_on", date(2026, 1, 9)),
    "scheduling_rulesetversion": ("content", {"another": 1}),
}
ANSWERED_FOR = {"orchard_task": {"content"}}  # by its digest


def model_of(watched: WatchedRows) -> type[models.Model]:
    return next(m for m in apps.get_models(True) if m._meta.db_table == watched.table)


@pytest.mark.parametrize("watched", session_frames._WATCHED, ids=lambda each: each.table)
def test_no_column_of_a_watched_row_is_left_out(watched: WatchedRows) -> None:
    columns = {field.column for field in model_of(watched)._meta.concrete_fields}

    assert columns - set(watched.columns) == ANSWERED_FOR.get(watched.table, set())


@pytest.mark.parametrize(
    "watched",
    [each for each in session_frames._WATCHED if each.table != "orchard_locate_areas"],
    ids=lambda each: each.table,
)
def test_a_change_of_a_watched_row_changes_the_mark(session: Session, watched: WatchedRows) -> None:
    before = mark(session)
    column, value = CHANGES[watched.table]
    rows = model_of(watched).objects.all()
    if watched.table == "scheduling_session":
        rows = rows.filter(pk=session.pk)

    rows.filter(pk=rows.order_by("pk")[0].pk).update(**{column: value})

    assert mark(session) != before


def test_rows_that_come_and_go_change_the_mark(session: Session) -> None:
    before = mark(session)
    tool = Tool.objects.create(site=session.season.site, code="zz", name="Spade", on_hand=1)
    assert mark(session) != before
    tool.delete()
    assert mark(session) == before
    Locate.objects.filter(areas__isnull=False)[0].areas.clear()
    cleared = mark(session)
    assert cleared != before
    SeasonPlan.objects.filter(season=session.season).update(current=False)
    assert mark(session) not in (before, cleared)


def test_a_frame_is_read_from_watched_rows_alone(session: Session) -> None:
    with CaptureQueriesContext(connection) as asked:
        read_frame(session)
    asked_of = {
        table for each in asked for table in re.findall(r'(?:FROM|JOIN) "(\w+)"', each["sql"])
    }
    watched = {each.table for each in session_frames._WATCHED}
    assert asked_of - watched - set(READ_FROM_ELSEWHERE) == set()
    assert asked_of & watched


def test_a_frame_that_stands_costs_one_question_and_one_that_changed_is_read_anew(
    session: Session,
) -> None:
    first = load_frame(session)
    with CaptureQueriesContext(connection) as asked:
        assert load_frame(session) is first
    assert len(asked) == 1

    Tool.objects.filter(site=session.season.site).update(on_hand=99)

    assert {tool.on_hand for tool in load_frame(session).store.tools} == {99}
    assert load_frame(session) == read_frame(session)


def test_the_problem_at_sign_up_is_the_roster_s_without_what_is_fixed_or_told(
    session: Session,
) -> None:
    whole = load_roster_problem(session.pk)
    person = whole.people[0].id
    RosterLock.objects.create(session=session, person_id=person, round=0, made_at=NOW)

    asked, locked = load_admission_problem(session), load_roster_problem(session.pk)

    assert asked == whole
    assert locked.locks
    assert asked.locks == ()
