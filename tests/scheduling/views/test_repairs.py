"""The page that repairs a roster: what happened goes in, what changes is shown, a draft is kept."""

import re
from http import HTTPStatus

import pytest

from scheduling.domain.day_events import DayEvents
from scheduling.domain.day_happened import Happened
from scheduling.models import Roster, Session, SignUp
from scheduling.services.repairs import preview_repair
from tests.scheduling.views.repaired import KEEP, PAGE, busy, happened, places, sealed_in
from tests.signed_in import COORDINATOR, GUARDIAN, LEAD, S02, STRANGER, VOLUNTEER, SignIn


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
