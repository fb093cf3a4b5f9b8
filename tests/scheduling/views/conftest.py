"""Hands the page fixtures to the tests of this folder, and a small day to roster."""

import pytest

from tests.signed_in import NOW, SignIn, season_of_the_file, sign_in  # noqa: F401 (fixtures)


@pytest.fixture
def small_day(sign_in: SignIn):  # noqa: F811 (the fixture above)
    """S02 with five people and one ring to weed: solved in a moment."""
    from orchard.models import Task
    from scheduling.models import Person, PlannedWork, SeasonPlan, Session, SignUp

    session = Session.objects.get(code="S02")
    SignUp.objects.filter(session=session).delete()
    for code in ("P01", "P02", "P03", "P05", "P08"):
        SignUp.objects.create(
            session=session,
            person=Person.objects.get(code=code),
            state=SignUp.State.CONFIRMED,
            at=NOW,
        )
    task = Task.objects.filter(kind="weed").first()
    assert task is not None
    Task.objects.exclude(pk=task.pk).update(state=Task.State.DONE)
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=NOW, status="best", seconds=1, seed=1, engine="1"
    )
    PlannedWork.objects.create(season_plan=plan, session=session, task=task, units=5, required=True)
    return session


@pytest.fixture
def told(small_day):
    """The roster of the small day, published."""
    from scheduling.models import Roster
    from scheduling.services.rosters import propose_roster

    propose_roster(session_id=small_day.pk, by=None, at=NOW)
    row = Roster.objects.get(session=small_day)
    row.state, row.published_at = Roster.State.PUBLISHED, NOW
    row.save()
    return row
