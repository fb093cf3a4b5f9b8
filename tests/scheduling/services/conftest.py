"""A small real day for the tests of this folder: S01 of the demo season with planned work."""

import pytest

from tests.signed_in import NOW, season_of_the_file  # noqa: F401 (fixture)


@pytest.fixture
def small_day(season_of_the_file: None, db: None):  # noqa: F811 (the fixture above)
    """S01 with two tasks planned and eight adults signed up: solved in a moment."""
    from orchard.models import Task
    from scheduling.models import Person, PlannedWork, SeasonPlan, Session, SignUp

    session = Session.objects.get(code="S01")
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=NOW, status="good", seconds=0.1, seed=1, engine="by hand"
    )
    tasks = Task.objects.filter(key__in=("GRO-A-1", "RNG-A-1"))
    Task.objects.exclude(pk__in=tasks).update(state=Task.State.DONE)
    for task in tasks:
        PlannedWork.objects.create(
            season_plan=plan, session=session, task=task, units=task.units, required=True
        )
    SignUp.objects.filter(session=session).delete()
    for code in ("P01", "P02", "P03", "P05", "P06", "P08", "P10", "P11"):
        person = Person.objects.get(code=code)
        SignUp.objects.create(session=session, person=person, state=SignUp.State.CONFIRMED, at=NOW)
    return session
