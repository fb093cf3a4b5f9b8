"""The page that says what would make a day better: two searches, told plainly, a draft if asked."""

import re
from http import HTTPStatus

import pytest

from scheduling.domain.day_answers import CostsSeen, SpareSeen
from scheduling.domain.planner.limits import Limits
from scheduling.domain.spare_hands import Spare
from scheduling.models import Person, Roster, SearchRun, Session, SignUp
from scheduling.queries import runs
from scheduling.services.better_days import search_costs, search_spare
from scheduling.services.rosters import propose_roster
from tests.signed_in import COORDINATOR, LEAD, NOW, S02, STRANGER, VOLUNTEER, SignIn

PAGE = f"{S02}/roster/better/"
KEEP = f"{PAGE}keep/"
WISHES = {"wishes": ["lead", "first aid", "zone", "crew"]}
ALL_WISHES = WISHES | {"spare": "yes"}


@pytest.fixture(autouse=True)
def short_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(runs.USUAL_SECONDS, "costs", 6.0)
    monkeypatch.setitem(runs.USUAL_SECONDS, "spare", 2.0)


@pytest.fixture
def two_leads(small_day: Session) -> Session:
    """The small day with a second crew lead."""
    coming = Person.objects.filter(signups__session=small_day).order_by("pk")
    lead = next(p for p in coming if p.skills.filter(skill="lead").exists())
    held = lead.skills.get(skill="lead")
    other = next(p for p in coming if p.pk != lead.pk and p.guardian_id is None)
    other.skills.create(skill="lead", signed_off_by=held.signed_off_by, last_day=held.last_day)
    return small_day


def test_looking_searches_nothing(sign_in: SignIn, small_day: Session) -> None:
    text = sign_in(COORDINATOR).get(PAGE).content.decode()

    assert "Weigh one more of each" in text
    assert "Search with spare hands" in text
    assert 'id="costs"' not in text
    assert 'id="spare"' not in text


def test_a_day_with_all_its_work_done_gains_nothing_by_more(
    sign_in: SignIn, small_day: Session
) -> None:
    propose_roster(session_id=small_day.pk, by=None, at=NOW)

    text = sign_in(COORDINATOR).post(PAGE, {"ask": "costs"}, follow=True).content.decode()

    assert "Nothing is left to do" in text
    assert Roster.objects.count() == 1


def test_work_too_much_for_the_day_is_helped_by_one_more_round(small_day: Session) -> None:
    """One round of ten minutes leaves work over; a second one must bring some of it."""
    Session.objects.filter(pk=small_day.pk).update(rounds=1, round_minutes=10)

    seen = search_costs(session_id=small_day.pk, limits=Limits(seconds=14)).told

    assert isinstance(seen, CostsSeen)
    assert seen.has_roster
    assert any(gain.startswith("One more round of") for gain in seen.gains)
    # One task's crew has its tools on hand already: another one is not worth a trial.
    assert not any("trowel" in words for words in seen.without_gain)
    assert (seen.not_asked, seen.rules_not_asked) == (0, 0)


def test_a_spare_lead_is_kept_as_a_draft_that_is_not_called_best(
    sign_in: SignIn, two_leads: Session
) -> None:
    client = sign_in(COORDINATOR)
    text = client.post(PAGE, ALL_WISHES, follow=True).content.decode()
    assert "A crew lead to spare in every round: kept" in text
    assert Roster.objects.count() == 0
    sealed = re.search(r'name="sealed" value="([^"]+)"', text)
    assert sealed

    client.post(KEEP, {"sealed": sealed[1]})
    again = client.post(KEEP, {"sealed": sealed[1]}, follow=True).content.decode()

    row = Roster.objects.get()
    assert (row.state, row.status) == ("draft", "spare hands")
    assert "It was kept already as draft version 1." in again
    assert "searched with spare hands wished for" in again


def test_only_what_is_ticked_is_wished_for(sign_in: SignIn, two_leads: Session) -> None:
    client = sign_in(COORDINATOR)
    page = client.get(PAGE).content.decode()
    assert page.count('name="wishes"') == page.count("checked") == 4

    text = client.post(PAGE, {"spare": "yes", "wishes": ["zone"]}, follow=True).content.decode()

    assert SearchRun.objects.get().asked == {"spare": ["zone"]}
    assert "A crew lead to spare in every round: kept" not in text
    assert "Nobody is to spare" in text  # one ring: no crew beside another in its zone


@pytest.mark.parametrize("wishes", [{}, {"wishes": ["a cook"]}])
def test_no_wish_or_one_that_is_none_is_answered_with_a_sentence(
    sign_in: SignIn, small_day: Session, wishes: dict[str, list[str]]
) -> None:
    text = sign_in(COORDINATOR).post(PAGE, {"spare": "yes"} | wishes).content.decode()

    assert "Put this right first" in text
    assert ("Tick at least one kind of spare hands" in text) is (not wishes)
    assert not SearchRun.objects.exists()


def test_a_day_with_nobody_to_spare_says_so(sign_in: SignIn, small_day: Session) -> None:
    for person in Person.objects.filter(signups__session=small_day):
        person.skills.filter(skill="lead").delete()

    seen = search_spare(session_id=small_day.pk, limits=Limits(seconds=2)).told
    assert isinstance(seen, SpareSeen)
    text = sign_in(COORDINATOR).post(PAGE, ALL_WISHES, follow=True).content.decode()

    assert seen.prices == ()
    assert "Nobody is to spare" in text
    assert 'name="sealed"' not in text


@pytest.mark.parametrize("asked", ["ask", "spare"])
def test_nobody_signed_up_is_answered_with_a_sentence(
    sign_in: SignIn, small_day: Session, asked: str
) -> None:
    SignUp.objects.filter(session=small_day).delete()

    text = sign_in(COORDINATOR).post(PAGE, WISHES | {asked: "yes"}, follow=True).content.decode()

    assert "Nothing was searched. Nobody is signed up for S02." in text


def test_coordinators_come_there_from_the_roster_and_nobody_else(
    sign_in: SignIn, small_day: Session
) -> None:
    assert PAGE in sign_in(COORDINATOR).get(f"{S02}/roster/").content.decode()
    assert PAGE not in sign_in(LEAD).get(f"{S02}/roster/").content.decode()
    for who in (LEAD, VOLUNTEER, STRANGER):
        assert sign_in(who).post(PAGE).status_code == HTTPStatus.NOT_FOUND
        assert sign_in(who).post(KEEP).status_code == HTTPStatus.NOT_FOUND


def test_the_seconds_that_the_page_suggests_are_taken_by_both_searches(
    sign_in: SignIn, small_day: Session
) -> None:
    page = sign_in(COORDINATOR).get(PAGE).content.decode()
    suggested = re.search(r'name="seconds" value="([^"]+)"', page)
    assert suggested
    wished = {"seconds": suggested[1], "wishes": [str(each) for each in Spare]}

    for asked in ({"ask": "costs"}, {"spare": "yes"}):
        text = sign_in(COORDINATOR).post(PAGE, wished | asked, follow=True).content.decode()
        assert "Put this right first" not in text
