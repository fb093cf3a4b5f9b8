"""The page that repairs a roster: what happened goes in, what changes is shown, a draft is kept."""

import re
from http import HTTPStatus

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
from tests.signed_in import COORDINATOR, GUARDIAN, LEAD, NOW, S02, STRANGER, VOLUNTEER, SignIn

PAGE = f"{S02}/roster/repair/"
KEEP = f"{PAGE}keep/"


@pytest.fixture
def told(small_day: Session) -> Roster:
    """The small day with a published roster."""
    propose_roster(session_id=small_day.pk, by=None, at=NOW)
    row = Roster.objects.get(session=small_day)
    row.state = Roster.State.PUBLISHED
    row.published_at = NOW
    row.save()
    return row


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


def busy(row: Roster) -> int:
    return int(row.places.exclude(person=None).order_by("person").first().person_id)


def happened(row: Roster, **more: object) -> dict[str, object]:
    return {"roster": row.pk, "next_round": 0} | more


def sealed_in(text: str) -> str:
    found = re.search(r'name="sealed" value="([^"]+)"', text)
    assert found
    return found[1]


def places(row: Roster) -> set[tuple[int | None, int, int]]:
    return set(row.places.values_list("person_id", "round", "task_id"))


def test_somebody_who_did_not_come_is_missing_from_the_repair_that_is_kept(
    sign_in: SignIn, told: Roster
) -> None:
    client, gone = sign_in(LEAD), busy(told)

    text = client.post(PAGE, happened(told, **{f"left_{gone}": "0"})).content.decode()
    assert "not there" in text
    assert "Searched for" in text
    assert Roster.objects.filter(session=told.session).count() == 1

    answer = client.post(KEEP, {"sealed": sealed_in(text)}, follow=True)
    kept = Roster.objects.get(session=told.session, version=2)
    assert (kept.state, kept.status, kept.bound) == ("draft", "repaired", {})
    assert not kept.places.filter(person=gone).exists()
    assert "Kept as draft version 2. Nobody was told." in answer.content.decode()
    told.refresh_from_db()
    assert told.state == Roster.State.PUBLISHED


def test_pressing_twice_keeps_one_draft(sign_in: SignIn, told: Roster) -> None:
    client = sign_in(COORDINATOR)
    text = client.post(PAGE, happened(told, **{f"left_{busy(told)}": "0"})).content.decode()
    sealed = sealed_in(text)

    client.post(KEEP, {"sealed": sealed})
    again = client.post(KEEP, {"sealed": sealed}, follow=True).content.decode()

    assert "It was kept already as draft version 2." in again
    assert Roster.objects.filter(session=told.session).count() == 2


def test_what_is_kept_is_what_was_shown(sign_in: SignIn, told: Roster) -> None:
    """Rounds that are over stay, and the places kept are those of the table that was read."""
    client, gone = sign_in(COORDINATOR), busy(told)
    sent = happened(told, next_round=1, **{f"left_{gone}": "1"})

    client.post(KEEP, {"sealed": sealed_in(client.post(PAGE, sent).content.decode())})

    kept = Roster.objects.get(session=told.session, version=2)
    first = {place for place in places(told) if place[1] == 0}
    assert {place for place in places(kept) if place[1] == 0} == first
    assert not kept.places.filter(person=gone, round__gte=1).exists()


def test_a_dropped_round_is_worked_by_nobody(sign_in: SignIn, told: Roster) -> None:
    client = sign_in(COORDINATOR)

    text = client.post(PAGE, happened(told, dropped=["0"])).content.decode()
    client.post(KEEP, {"sealed": sealed_in(text)})

    assert not Roster.objects.get(session=told.session, version=2).places.filter(round=0).exists()


def test_work_called_off_stops_and_the_reason_is_told(sign_in: SignIn, told: Roster) -> None:
    task = told.places.first().task_id

    text = sign_in(LEAD).post(PAGE, happened(told, called_off=[str(task)])).content.decode()

    assert "What must stop, and why" in text
    assert "was called off" in text
    assert 'name="sealed"' in text


def test_the_only_lead_gone_stops_the_work(sign_in: SignIn, told: Roster) -> None:
    people = [place.person for place in told.places.select_related("person")]
    leads = {p.pk for p in people if p.skills.filter(skill="lead").exists()}
    coming = SignUp.objects.filter(session=told.session).values_list("person", flat=True)
    everybody = {f"left_{person}": "0" for person in coming}
    assert leads

    text = sign_in(LEAD).post(PAGE, happened(told, **everybody)).content.decode()

    assert "What must stop, and why" in text
    assert "does not begin" in text


def test_nothing_happened_changes_nothing_and_there_is_nothing_to_keep(
    sign_in: SignIn, told: Roster
) -> None:
    text = sign_in(COORDINATOR).post(PAGE, happened(told)).content.decode()

    assert "Nobody who is there changes place" in text
    assert "There is nothing to keep." in text
    assert 'name="sealed"' not in text


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"next_round": "99"}, "Which round comes next: Select a valid choice"),
        ({"next_round": "1", "dropped": ["0"]}, "Round 1 cannot be dropped"),
        ({"round_minutes": "0"}, "Minutes of each round ahead: Ensure this value is greater"),
        ({"round_minutes": "many"}, "Minutes of each round ahead: Enter a whole number"),
        ({"called_off": ["-3"]}, "Tasks called off: Select a valid choice"),
    ],
)
def test_nonsense_is_answered_with_a_sentence(
    sign_in: SignIn, told: Roster, sent: dict[str, object], sentence: str
) -> None:
    answer = sign_in(COORDINATOR).post(PAGE, happened(told) | sent)

    assert answer.status_code == HTTPStatus.OK
    assert sentence in answer.content.decode()
    assert 'name="sealed"' not in answer.content.decode()


def test_more_tools_lost_than_there_are_is_refused(sign_in: SignIn, told: Roster) -> None:
    page = sign_in(COORDINATOR).get(PAGE).content.decode()
    tool = re.search(r'name="(tool_[^"]+)"', page)
    assert tool

    text = sign_in(COORDINATOR).post(PAGE, happened(told, **{tool[1]: "999"})).content.decode()

    assert "Ensure this value is less than or equal to" in text


def test_every_tool_lost_stops_the_work_that_needs_it(sign_in: SignIn, told: Roster) -> None:
    client = sign_in(COORDINATOR)
    page = client.get(PAGE).content.decode()
    lost = dict(re.findall(r'name="(tool_[^"]+)"[^>]*max="(\d+)"', page)) or {
        name: most for most, name in re.findall(r'max="(\d+)"[^>]*name="(tool_[^"]+)"', page)
    }
    assert lost

    text = client.post(PAGE, happened(told, **lost)).content.decode()

    assert "What must stop, and why" in text


def test_an_older_roster_or_a_forged_answer_keeps_nothing(sign_in: SignIn, told: Roster) -> None:
    client = sign_in(COORDINATOR)
    stale = client.post(PAGE, happened(told) | {"roster": told.pk + 1}, follow=True)
    assert "No repair was searched. A newer roster was made meanwhile" in stale.content.decode()

    sealed = sealed_in(
        client.post(PAGE, happened(told, **{f"left_{busy(told)}": "0"})).content.decode()
    )
    for sent, why in (
        ({}, "look at a roster first"),
        ({"sealed": sealed[:-2]}, "What came back is not what was shown"),
        ({"sealed": "0"}, "What came back is not what was shown"),
    ):
        assert why in client.post(KEEP, sent, follow=True).content.decode()
    elsewhere = client.post(KEEP.replace("S02", "S03"), {"sealed": sealed}, follow=True)
    assert "shown for another session" in elsewhere.content.decode()
    assert Roster.objects.count() == 1


def test_a_repair_of_a_day_that_changed_since_is_looked_at_again(
    sign_in: SignIn, told: Roster
) -> None:
    client = sign_in(COORDINATOR)
    sealed = sealed_in(
        client.post(PAGE, happened(told, **{f"left_{busy(told)}": "0"})).content.decode()
    )
    SignUp.objects.filter(session=told.session).first().delete()

    text = client.post(KEEP, {"sealed": sealed}, follow=True).content.decode()

    assert "have changed since this roster was shown" in text
    assert Roster.objects.count() == 1


def test_without_time_the_roster_stays_and_the_page_says_so(
    sign_in: SignIn, told: Roster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("scheduling.services.repairs.REPAIR_SECONDS", 1e-6)

    text = sign_in(COORDINATOR).post(PAGE, happened(told, dropped=["0"])).content.decode()

    assert "no repair was found in time" in text
    assert "The roster stays as it is." in text
    assert 'name="sealed"' not in text


def test_who_gets_in_and_how_one_comes_there(sign_in: SignIn, told: Roster) -> None:
    for who in (VOLUNTEER, GUARDIAN, STRANGER):
        assert sign_in(who).get(PAGE).status_code == HTTPStatus.NOT_FOUND
        assert sign_in(who).post(KEEP).status_code == HTTPStatus.NOT_FOUND
    for who in (COORDINATOR, LEAD):
        assert PAGE in sign_in(who).get(f"{S02}/roster/").content.decode()
        assert sign_in(who).get(PAGE).status_code == HTTPStatus.OK
        assert sign_in(who).get(KEEP).status_code == HTTPStatus.METHOD_NOT_ALLOWED
    assert sign_in(COORDINATOR, checks_csrf=True).post(KEEP).status_code == HTTPStatus.FORBIDDEN


def test_without_a_roster_there_is_no_page(sign_in: SignIn, small_day: Session) -> None:
    assert sign_in(COORDINATOR).get(PAGE).status_code == HTTPStatus.NOT_FOUND


def test_who_has_left_comes_along_from_the_day_now(sign_in: SignIn, told: Roster) -> None:
    client, gone = sign_in(LEAD), busy(told)
    day_now = client.get(f"{S02}/day-now/?left_{gone}=0").content.decode()
    assert f"{PAGE}?left_{gone}=0" in day_now

    text = client.get(f"{PAGE}?left_{gone}=0").content.decode()

    field = text.split(f'name="left_{gone}"')[1].split("</select>")[0]
    assert re.search(r'value="0"\s+selected', field)


def test_a_repair_says_how_good_it_is(told: Roster) -> None:
    seen = preview_repair(
        session_id=told.session_id,
        roster_id=told.pk,
        happened=Happened(DayEvents(left=((busy(told), 0),))),
    )

    assert seen.how_good.startswith(("Nobody who is there", f"{len(seen.changes)} of"))
    assert seen.status == "best"


# --- a session interrupted half way, and people who came without a sign-up -----------------------


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
