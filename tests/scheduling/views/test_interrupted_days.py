"""A repair for a session interrupted half way, and for people who came without a sign-up."""

import re

import pytest

from orchard.models import Site, Task
from scheduling.domain.day_events import DayEvents
from scheduling.domain.day_happened import Happened
from scheduling.domain.people import TaskId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import TaskUnits
from scheduling.models import Person, PlannedWork, Roster, SeasonPlan, Session, SignUp
from scheduling.services.repairs import preview_repair
from scheduling.services.rosters import propose_roster
from tests.scheduling.views.repaired import KEEP, PAGE, busy, happened, sealed_in
from tests.signed_in import COORDINATOR, LEAD, NOW, S02, SignIn


@pytest.fixture
def demo_interrupted(sign_in: SignIn) -> Roster:
    """S02 as it is signed up, with a pocket to bore and to fill."""
    session = Session.objects.get(code="S02")
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=NOW, status="good", seconds=1, seed=1, engine="by hand"
    )
    for key in ("GRO-A-1", "COR-P4-1", "BKF-P4-1"):
        task = Task.objects.get(key=key)
        PlannedWork.objects.create(
            season_plan=plan, session=session, task=task, units=min(task.units, 12), required=True
        )
    propose_roster(session_id=session.pk, by=None, at=NOW, limits=Limits(seconds=3))
    return Roster.objects.get(session=session)


def others(session: Session) -> list[Person]:
    """Adults of the site who are not signed up and keep out of no work."""
    coming = SignUp.objects.filter(session=session).values("person")
    known = Person.objects.filter(site=session.season.site, active=True, birth_year__lt=1990)
    return list(known.filter(restrictions=[]).exclude(pk__in=coming).order_by("pk"))


def test_who_came_without_a_sign_up_works_and_is_signed_up_when_the_repair_is_kept(
    sign_in: SignIn, told: Roster
) -> None:
    client, came = sign_in(LEAD), others(told.session)[0]
    sent = happened(told, **{f"left_{busy(told)}": "0", "came_1": str(came.pk)})

    text = client.post(PAGE, sent).content.decode()
    assert f"{came.first_name}" in text
    assert "is taken in" in text
    assert not SignUp.objects.filter(session=told.session, person=came).exists()

    client.post(KEEP, {"sealed": sealed_in(text)})
    again = client.post(KEEP, {"sealed": sealed_in(text)}, follow=True).content.decode()

    row = SignUp.objects.get(session=told.session, person=came)
    assert row.state == SignUp.State.CONFIRMED
    assert "It was kept already as draft version 2." in again
    roster = client.get(f"{S02}/roster/").content.decode()
    assert "not in the day" not in roster
    assert Roster.objects.get(session=told.session, version=2).places.exists()


def test_somebody_who_comes_later_stands_nowhere_before(sign_in: SignIn, told: Roster) -> None:
    came = others(told.session)[0]
    sent = happened(told, came_1=str(came.pk), came_from_1="1")

    text = sign_in(COORDINATOR).post(PAGE, sent).content.decode()
    sign_in(COORDINATOR).post(KEEP, {"sealed": sealed_in(text)})

    kept = Roster.objects.get(session=told.session, version=2)
    assert not kept.places.filter(person=came, round=0).exists()


def test_a_child_without_a_consent_on_file_is_not_taken_in_and_the_reason_is_told(
    sign_in: SignIn, told: Roster
) -> None:
    coming = SignUp.objects.filter(session=told.session).values("person")
    child = Person.objects.filter(guardian__isnull=False).exclude(pk__in=coming).first()
    assert child is not None
    child.consents.all().delete()

    text = sign_in(LEAD).post(PAGE, happened(told, came_1=str(child.pk))).content.decode()

    assert f"{child.first_name} cannot be taken in." in text
    assert "consent" in text
    assert 'name="sealed"' not in text


def test_a_full_session_takes_nobody_in(sign_in: SignIn, told: Roster) -> None:
    Session.objects.filter(pk=told.session_id).update(capacity=5)

    text = (
        sign_in(LEAD)
        .post(PAGE, happened(told, came_1=str(others(told.session)[0].pk)))
        .content.decode()
    )

    assert "cannot be taken in. S02 takes 5 people" in text


def test_who_may_not_be_taken_in_any_more_keeps_the_repair_from_being_kept(
    sign_in: SignIn, told: Roster
) -> None:
    client = sign_in(LEAD)
    sent = happened(told, came_1=str(others(told.session)[0].pk))
    sealed = sealed_in(client.post(PAGE, sent).content.decode())
    Person.objects.filter(pk=sent["came_1"]).update(active=False)

    text = client.post(KEEP, {"sealed": sealed}, follow=True).content.decode()

    assert "Nothing was kept." in text
    assert Roster.objects.filter(session=told.session).count() == 1
    assert not SignUp.objects.filter(session=told.session, person=sent["came_1"]).exists()


def test_people_of_another_site_and_those_signed_up_are_not_offered(
    sign_in: SignIn, told: Roster
) -> None:
    here = told.session.season.site
    elsewhere = Site.objects.get(slug="elsewhere")
    stranger = Person.objects.create(
        site=elsewhere, code="X1", first_name="Nobody", family_name="Here", birth_year=1980,
        birth_month=1,
    )  # fmt: skip
    page = sign_in(LEAD).get(PAGE).content.decode()
    lines = page.split('name="came_1"')[1].split("</select>")[0]

    assert f'value="{others(told.session)[0].pk}"' in lines
    assert f'value="{busy(told)}"' not in lines
    assert f'value="{stranger.pk}"' not in lines
    assert here != elsewhere
    for who in (stranger.pk, busy(told)):
        answer = sign_in(LEAD).post(PAGE, happened(told, came_1=str(who))).content.decode()
        assert "Select a valid choice" in answer


def test_the_same_person_twice_is_refused(sign_in: SignIn, told: Roster) -> None:
    who = str(others(told.session)[0].pk)

    text = sign_in(LEAD).post(PAGE, happened(told, came_1=who, came_2=who)).content.decode()

    assert "Named twice." in text


def test_units_already_done_leave_less_to_do(told: Roster) -> None:
    """Five rings are to be weeded; what was really done of them decides what is left."""
    task, units = told.places.first().task_id, 5
    left = {}
    for done in (0, 2, units):
        said = (TaskUnits(TaskId(task), 0, done),) if done else ()
        seen = preview_repair(
            session_id=told.session_id,
            roster_id=told.pk,
            happened=Happened(DayEvents(next_round=told.session.rounds, done=said)),
        )
        left[done] = seen.undone
    assert left[units] == "All the work that must be done is done."
    assert left[0] != left[2] != left[units]
    worth = [int(re.sub(r"\D", "", left[done])) for done in (0, 2)]
    assert worth[0] * 3 == worth[1] * 5  # 5 units left against 3


def test_units_done_are_typed_for_each_task(sign_in: SignIn, told: Roster) -> None:
    task = told.places.first().task_id
    client = sign_in(COORDINATOR)
    page = client.get(PAGE).content.decode()
    assert f'name="done_{task}"' in page

    before = client.post(PAGE, happened(told, **{f"done_{task}": "2"})).content.decode()
    assert "Nothing can be done before round 1." in before
    sent = happened(told, next_round=told.session.rounds, **{f"done_{task}": "2"})
    text = client.post(PAGE, sent).content.decode()
    assert "is left undone" in text
    assert re.search(rf'name="done_{task}"[^>]*value="2"', text)
    too_many = client.post(PAGE, sent | {f"done_{task}": "9999"}).content.decode()
    assert "less than or equal to" in too_many


def test_holes_bored_and_not_filled_are_to_be_filled_or_said_to_stand_open(
    sign_in: SignIn, demo_interrupted: Roster
) -> None:
    """Boring was done beyond the roster's word, filling was not: who is there must fill them."""
    bore = Task.objects.get(key="COR-P4-1")
    fill = Task.objects.get(key="BKF-P4-1")
    client, rounds = sign_in(LEAD), demo_interrupted.session.rounds
    done = {f"done_{bore.pk}": "3", f"done_{fill.pk}": "0"}

    rest = client.post(PAGE, happened(demo_interrupted, next_round=1, **done)).content.decode()
    over = client.post(PAGE, happened(demo_interrupted, next_round=rounds, **done)).content.decode()

    assert "holes cannot be filled today" not in rest
    assert "3 holes cannot be filled today at" in over
    assert "Cover and fence every open hole before anybody leaves it" in over
