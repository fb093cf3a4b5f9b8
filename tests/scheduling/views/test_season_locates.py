"""A season's locates: what each session lacks, by when to ask; lost marks stop rosters too."""

from datetime import date, timedelta
from html import unescape
from http import HTTPStatus

import pytest

from orchard.models import Locate, Site, Task
from scheduling.domain.condition import Severity
from scheduling.domain.people import TaskId
from scheduling.domain.rules.locate_in_date import LocateInDate
from scheduling.models import PlannedWork, SeasonPlan, Session
from scheduling.queries.problems import load_roster_problem
from tests.signed_in import COORDINATOR, LEAD, NOW, SEASON, VOLUNTEER, SignIn

PAGE = f"{SEASON}/locates/"


def read(sign_in: SignIn) -> str:
    return unescape(sign_in(COORDINATOR).get(PAGE).content.decode())


def test_who_sees_the_season_sees_its_locates(sign_in: SignIn) -> None:
    assert sign_in(LEAD).get(PAGE).status_code == HTTPStatus.OK
    assert sign_in(VOLUNTEER).get(PAGE).status_code == HTTPStatus.NOT_FOUND
    assert sign_in(COORDINATOR).get(f"{SEASON[:-4]}2099/locates/").status_code == (
        HTTPStatus.NOT_FOUND
    )


def test_every_day_of_the_demo_that_may_bore_is_covered(sign_in: SignIn) -> None:
    text = read(sign_in)

    assert "every session ahead is covered" in text
    assert "TY-2027-014 holds until 2027-06-05." in text


def test_a_session_outside_every_locate_says_by_when_to_ask(sign_in: SignIn) -> None:
    """Ontario, 5 business days: for Saturday 11 September, call by Friday 3 September."""
    Locate.objects.filter(number="TY-2027-091").delete()
    Site.objects.filter(slug="traverser-yard").update(jurisdiction="ON")

    text = read(sign_in)

    assert "TY-2027-014 ends on 2027-06-05." in text
    assert "by 2027-09-03, by the rule of Ontario" in text


def bore_in_s05() -> tuple[Session, Task]:
    session = Session.objects.get(code="S05", season__code="2027")
    task = Task.objects.get(key="COR-P1-1")
    plan = SeasonPlan.objects.filter(season=session.season, current=True).first()
    if plan is None:
        plan = SeasonPlan.objects.create(
            season=session.season, current=True, status="good", made_at=NOW, seconds=0, seed=1
        )
    PlannedWork.objects.create(season_plan=plan, session=session, task=task, units=5)
    return session, task


@pytest.mark.parametrize(("days", "fault"), [(1, False), (0, True), (-3, True)])
def test_boring_after_the_marks_were_lost_is_refused(
    sign_in: SignIn, days: int, fault: bool
) -> None:
    session, task = bore_in_s05()
    lost = date(2027, 4, 17) + timedelta(days=days)
    Locate.objects.filter(number="TY-2027-014").update(marks_lost_on=lost)

    conditions = LocateInDate().conditions(load_roster_problem(session.pk))

    refused = any(TaskId(task.pk) in one.tasks for one in conditions)
    assert refused is fault
    assert ("Boring is planned where no marks are on record: S05" in read(sign_in)) is fault


def test_boring_on_a_locate_that_is_only_asked_for_is_refused(sign_in: SignIn) -> None:
    session, task = bore_in_s05()
    Locate.objects.filter(number="TY-2027-014").update(marked_on=None)

    conditions = LocateInDate().conditions(load_roster_problem(session.pk))

    (refusal,) = [one for one in conditions if TaskId(task.pk) in one.tasks]
    assert refusal.reason.severity is Severity.BLOCKS
    assert "TY-2027-014 is asked for" in refusal.reason.text
    assert "Boring is planned where no marks are on record: S05" in read(sign_in)
