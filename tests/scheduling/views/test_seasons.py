"""The season's ledger and planning it from the page."""

import pytest

from orchard.models import Task
from scheduling.models import PlannedWork, SeasonPlan, Session, SignUp
from scheduling.queries.seasons import find_season_title, load_season_page
from tests.signed_in import COORDINATOR, NOW, SEASON, SITE, SignIn


@pytest.fixture
def planned_season(sign_in: SignIn) -> SeasonPlan:
    """A plan of two pieces of work, with a known worth and one thing left out."""
    session = Session.objects.get(code="S02")
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=NOW, status="good", seconds=1.25, seed=1, engine="1",
        value=900, bound=1000, left_out=["The mulch of T36 did not fit: no chips are left."],
    )  # fmt: skip
    for task in Task.objects.filter(kind="weed").order_by("position")[:2]:
        PlannedWork.objects.create(
            season_plan=plan, session=session, task=task, units=3, required=True
        )
    return plan


def test_the_only_season_is_opened_at_once(sign_in: SignIn) -> None:
    answer = sign_in(COORDINATOR).get(f"{SITE}/seasons/")

    assert answer.headers["Location"] == f"{SEASON}/"


def test_the_ledger_says_how_good_the_plan_is_and_what_was_left_out(
    sign_in: SignIn, planned_season: SeasonPlan
) -> None:
    text = sign_in(COORDINATOR).get(f"{SEASON}/").content.decode()

    assert "stopped before the proof" in text
    assert "900 of at most 1,000: 10.0 % may be missing" in text
    assert "The mulch of T36 did not fit: no chips are left." in text
    assert "weed 6 m²" in text


def test_the_foot_of_the_ledger_is_the_sum_of_its_lines(
    sign_in: SignIn, planned_season: SeasonPlan
) -> None:
    title = find_season_title(site_id=planned_season.season.site_id, code="2027")
    assert title is not None

    page = load_season_page(title)

    confirmed = SignUp.objects.filter(state=SignUp.State.CONFIRMED)
    pupils = {"S04": 22 + 4 + 2, "S11": 18 + 3}  # with staff and helpers: fixtures/groups.toml
    singles = confirmed.filter(person__isnull=False).count()
    assert page.signed_up == singles + sum(pupils.values())
    assert page.pieces == 2
    assert page.person_min == pytest.approx(
        sum(
            work.units * work.task.mean_person_min / work.task.units
            for work in PlannedWork.objects.select_related("task")
        )
    )


def test_nothing_to_plan_is_answered_with_a_sentence(sign_in: SignIn) -> None:
    Task.objects.update(state=Task.State.DONE)

    text = sign_in(COORDINATOR).post(f"{SEASON}/plan/", follow=True).content.decode()

    assert "The season was not planned." in text
    assert "has no open task" in text
    assert not SeasonPlan.objects.exists()


def test_planning_from_the_page_gives_work_to_sessions(sign_in: SignIn) -> None:
    few = Task.objects.filter(kind="weed").order_by("position").values_list("pk", flat=True)[:2]
    Task.objects.exclude(pk__in=list(few)).update(state=Task.State.DONE)

    text = sign_in(COORDINATOR).post(f"{SEASON}/plan/", follow=True).content.decode()

    assert "The season is planned" in text
    assert PlannedWork.objects.filter(season_plan__current=True).exists()
