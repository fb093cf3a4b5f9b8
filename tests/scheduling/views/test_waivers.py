"""Waiving on the session's page: proposed by the coordinator, confirmed by the session lead."""

import re
from html import unescape
from http import HTTPStatus

import pytest

from scheduling.models import Person, Roster, Session, SignUp, Waiver
from tests.signed_in import COORDINATOR, LEAD, NOW, S02, SignIn

REASON = "The lead of the next crew stands three metres away all morning."
WAIVE = f"{S02}/roster/waive/"


@pytest.fixture
def leaderless(sign_in: SignIn, small_day: Session) -> Session:
    """A draft whose leads' sign-offs were taken away since."""
    sign_in(COORDINATOR).post(f"{S02}/roster/propose/")
    for person in Person.objects.filter(signups__session=small_day):
        person.skills.filter(skill="lead").delete()
    return small_day


def marks(text: str) -> list[str]:
    return re.findall(r"waive/\?finding=([0-9a-f]{64})", text)


def test_from_the_finding_to_two_names_and_publishing(sign_in: SignIn, leaderless: Session) -> None:
    coordinator, lead = sign_in(COORDINATOR), sign_in(LEAD)
    page = coordinator.get(f"{S02}/roster/").content.decode()
    assert marks(page)
    for mark in marks(page):
        coordinator.post(WAIVE, {"finding": mark, "reason": REASON})
    pending = unescape(coordinator.get(f"{S02}/roster/").content.decode())
    for waiver in Waiver.objects.all():
        lead.post(f"{WAIVE}confirm/", {"waiver": waiver.pk})
    text = unescape(lead.get(f"{S02}/roster/").content.decode())

    assert "waiver proposed</span>" in pending
    assert "Publish and send invites" not in pending
    assert "Confirm the waiver" not in pending, "who proposed is not offered to confirm"
    assert "waived</span>" in text
    assert "Proposed by Ilse Vandermolen, 1 February 2027" in text
    assert "Confirmed by Wojciech Żurawiecki, 1 February 2027" in text
    assert REASON in text
    which = {"roster": Roster.objects.get(session=leaderless).pk}
    published = coordinator.post(f"{S02}/roster/publish/", which, follow=True).content.decode()
    assert "Version 1 is published" in published


def test_who_proposed_may_not_confirm_by_posting_either(
    sign_in: SignIn, leaderless: Session
) -> None:
    client = sign_in(COORDINATOR)
    mark = marks(client.get(f"{S02}/roster/").content.decode())[0]
    client.post(WAIVE, {"finding": mark, "reason": REASON})
    waiver = Waiver.objects.get()

    text = client.post(f"{WAIVE}confirm/", {"waiver": waiver.pk}, follow=True).content.decode()

    waiver.refresh_from_db()
    assert "somebody else must confirm it" in text
    assert waiver.confirmed_at is None


def test_a_lead_confirms_but_does_not_propose(sign_in: SignIn, leaderless: Session) -> None:
    mark = marks(sign_in(COORDINATOR).get(f"{S02}/roster/").content.decode())[0]

    assert marks(sign_in(LEAD).get(f"{S02}/roster/").content.decode()) == []
    assert sign_in(LEAD).get(WAIVE, {"finding": mark}).status_code == HTTPStatus.NOT_FOUND
    assert sign_in(LEAD).post(WAIVE, {"finding": mark}).status_code == HTTPStatus.NOT_FOUND


def test_a_reason_too_short_is_asked_for_again(sign_in: SignIn, leaderless: Session) -> None:
    client = sign_in(COORDINATOR)
    mark = marks(client.get(f"{S02}/roster/").content.decode())[0]

    text = client.post(WAIVE, {"finding": mark, "reason": "ok"}).content.decode()

    assert "Put this right first" in text
    assert not Waiver.objects.exists()


def test_a_withdrawn_waiver_is_offered_anew(sign_in: SignIn, leaderless: Session) -> None:
    client = sign_in(COORDINATOR)
    mark = marks(client.get(f"{S02}/roster/").content.decode())[0]
    client.post(WAIVE, {"finding": mark, "reason": REASON})

    client.post(f"{WAIVE}withdraw/", {"waiver": Waiver.objects.get().pk})

    assert mark in marks(client.get(f"{S02}/roster/").content.decode())


def test_a_finding_nobody_may_waive_offers_nothing_and_its_page_says_why(
    sign_in: SignIn,
    small_day: Session,
) -> None:
    from scheduling.queries.rosters import find_current_roster

    client = sign_in(COORDINATOR)
    client.post(f"{S02}/roster/propose/")
    Person.objects.filter(signups__session=small_day).update(birth_year=2017)
    roster = find_current_roster(small_day.pk)
    assert roster is not None
    two = next(each for each in roster.judged if each.finding.rule == "SUP-2")

    page = client.get(f"{S02}/roster/").content.decode()
    text = unescape(client.get(WAIVE, {"finding": two.mark}).content.decode())

    assert two.mark not in marks(page)
    assert "Nobody may waive rule SUP-2: no reason and no consent lifts it." in text
    assert "Propose the waiver" not in text


def test_marks_and_waivers_that_are_none_are_no_page(sign_in: SignIn, leaderless: Session) -> None:
    client = sign_in(COORDINATOR)

    assert client.get(WAIVE, {"finding": "0" * 64}).status_code == HTTPStatus.NOT_FOUND
    assert client.get(WAIVE).status_code == HTTPStatus.NOT_FOUND
    assert client.post(f"{WAIVE}confirm/", {"waiver": "x"}).status_code == HTTPStatus.NOT_FOUND
    assert SignUp.objects.filter(session=leaderless, at=NOW).exists()
