"""The page of a session's chance: asked with a button, told with its interval, for coordinators."""

from http import HTTPStatus

import pytest

from scheduling.domain.day_answers import SessionChance
from scheduling.domain.planner.limits import Limits
from scheduling.models import Person, Roster, Session, SignUp
from scheduling.queries import runs
from scheduling.services.chances import search_chance
from tests.signed_in import COORDINATOR, LEAD, S02, STRANGER, SignIn

PAGE = f"{S02}/roster/chance/"


@pytest.fixture(autouse=True)
def short_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(runs.USUAL_SECONDS, "chance", 4.0)


def asked(session: Session, *, draws: int = 20, seconds: float) -> SessionChance:
    found = search_chance(session_id=session.pk, limits=Limits(seconds=seconds), draws=draws).told
    assert isinstance(found, SessionChance)
    return found


def test_the_chance_is_told_with_its_interval_and_what_raises_it(
    sign_in: SignIn, small_day: Session
) -> None:
    text = sign_in(COORDINATOR).post(PAGE, follow=True).content.decode()

    assert "An estimate from 200 drawn days" in text
    assert "With 95 % certainty the chance lies between" in text
    assert "What would raise it" in text
    assert Roster.objects.count() == 0


def test_looking_draws_nothing(sign_in: SignIn, small_day: Session) -> None:
    text = sign_in(COORDINATOR).get(PAGE).content.decode()

    assert "Estimate the chance" in text
    assert "drawn days:" not in text


def test_the_session_page_leads_to_it_for_coordinators_only(
    sign_in: SignIn, small_day: Session
) -> None:
    assert PAGE in sign_in(COORDINATOR).get(f"{S02}/roster/").content.decode()
    assert PAGE not in sign_in(LEAD).get(f"{S02}/roster/").content.decode()
    assert sign_in(LEAD).get(PAGE).status_code == HTTPStatus.NOT_FOUND
    assert sign_in(STRANGER).get(PAGE).status_code == HTTPStatus.NOT_FOUND


def test_nobody_signed_up_is_answered_with_a_sentence(sign_in: SignIn, small_day: Session) -> None:
    SignUp.objects.filter(session=small_day).delete()

    text = sign_in(COORDINATOR).post(PAGE, follow=True).content.decode()

    assert "No chance was estimated. Nobody is signed up for S02." in text


def test_a_day_without_a_lead_says_why_and_what_would_mend_it(small_day: Session) -> None:
    for person in Person.objects.filter(signups__session=small_day):
        person.skills.filter(skill="lead").delete()

    found = asked(small_day, seconds=10)

    assert found.works == 0
    assert any("crew lead" in sentence for sentence in found.reasons)
    assert any("crew lead" in sentence for sentence in found.changes)


def test_without_time_no_day_counts_and_none_is_called_a_failure(small_day: Session) -> None:
    found = asked(small_day, seconds=1e-6)

    assert (found.draws, found.wished, found.fails) == (0, 20, 0)
    assert found.percent is None
