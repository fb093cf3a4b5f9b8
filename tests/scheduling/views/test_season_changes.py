"""The page that tries what would make more work fit a season."""

from http import HTTPStatus

import pytest

from orchard.models import Task
from scheduling.domain.planner.limits import Limits
from scheduling.models import PlannedWork, SeasonPlan, Session
from scheduling.services.season_changes import find_season_changes
from scheduling.services.seasons import plan_season
from tests.signed_in import COORDINATOR, LEAD, NOW, SEASON, STRANGER, SignIn

PAGE = f"{SEASON}/changes/"


@pytest.fixture(autouse=True)
def short_search(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scheduling.services.season_changes.CHANGE_SECONDS", 6.0)


@pytest.fixture
def one_session(small_day: Session) -> Session:
    """Only S02 lies ahead, its five people for the weeding of every ring."""
    Session.objects.exclude(pk=small_day.pk).update(state=Session.State.CALLED_OFF)
    SeasonPlan.objects.all().delete()
    Task.objects.filter(kind="weed").update(state=Task.State.OPEN)
    return small_day


def test_a_season_too_short_is_told_what_another_session_brings(
    sign_in: SignIn, one_session: Session
) -> None:
    plan_season(season_id=one_session.season_id, at=NOW, limits=Limits(seconds=3))
    kept = list(PlannedWork.objects.values_list("task", "units"))

    text = sign_in(COORDINATOR).post(PAGE).content.decode()

    assert "These changes were tried and gain" in text
    assert "session" in text.split("<tbody>")[1].lower()
    assert list(PlannedWork.objects.values_list("task", "units")) == kept


def test_gains_are_real_and_the_most_comes_first(one_session: Session) -> None:
    plan_season(season_id=one_session.season_id, at=NOW, limits=Limits(seconds=3))

    found = find_season_changes(season_id=one_session.season_id, at=NOW, seconds=6)

    assert not found.is_all_planned
    assert found.changes
    assert all(change.gain_h > 0 and change.work for change in found.changes)


def test_a_season_with_all_its_work_planned_has_nothing_to_try(
    sign_in: SignIn, small_day: Session
) -> None:
    plan_season(season_id=small_day.season_id, at=NOW, limits=Limits(seconds=3))

    assert "All the open work is planned" in sign_in(COORDINATOR).post(PAGE).content.decode()


def test_without_a_plan_or_with_one_that_fits_no_more_a_sentence_answers(
    sign_in: SignIn, one_session: Session
) -> None:
    client = sign_in(COORDINATOR)
    assert "Nothing was tried. The season is not planned yet." in client.post(PAGE).content.decode()

    plan = SeasonPlan.objects.create(
        season=one_session.season, made_at=NOW, status="good", seconds=1, seed=1, engine="1"
    )
    for task in Task.objects.filter(kind="weed"):
        PlannedWork.objects.create(
            season_plan=plan, session=one_session, task=task, units=task.units, required=True
        )

    assert "does not fit the season any more" in client.post(PAGE).content.decode()


def test_looking_tries_nothing_and_only_coordinators_look(
    sign_in: SignIn, small_day: Session
) -> None:
    text = sign_in(COORDINATOR).get(PAGE).content.decode()
    assert "Try the changes" in text
    assert 'id="found"' not in text
    for who in (LEAD, STRANGER):
        assert sign_in(who).get(PAGE).status_code == HTTPStatus.NOT_FOUND
        assert sign_in(who).post(PAGE).status_code == HTTPStatus.NOT_FOUND
