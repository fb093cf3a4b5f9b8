"""The papers' page: every paper in two sizes, out of date when people were told otherwise."""

from datetime import timedelta
from html import unescape

import pytest
from django.test import Client

from orchard.models import Task
from scheduling.models import Person, Roster, RosterPlace, RosterUnits, Session, SignUp
from scheduling.services.publish import publish_roster
from tests.signed_in import COORDINATOR, LEAD, NOW, SEASON, STRANGER, VOLUNTEER, SignIn

PAPERS = f"{SEASON}/sessions/S02/papers"


@pytest.fixture
def roster(small_day: Session) -> Roster:
    row = Roster.objects.create(
        session=small_day, version=1, status="good", value={}, bound={}, seconds=0.1,
        seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    task = Task.objects.get(state=Task.State.OPEN)
    for code in ("P01", "P02", "P03"):
        RosterPlace.objects.create(
            roster=row, person=Person.objects.get(code=code), round=0, task=task
        )
    RosterUnits.objects.create(roster=row, task=task, round=0, units=1)
    return row


def read(client: Client, address: str = f"{PAPERS}/") -> str:
    return unescape(client.get(address).content.decode())


def test_every_paper_named_on_the_page_is_a_pdf(roster: Roster, sign_in: SignIn) -> None:
    client = sign_in(LEAD)
    page = read(client)
    addresses = [part.split('"')[0] for part in page.split('href="') if ".pdf" in part[:200]]

    assert len(addresses) >= 2 * 9
    for address in addresses:
        response = client.get(address)
        assert response["Content-Type"] == "application/pdf"
        assert response.content.startswith(b"%PDF")


def test_without_a_roster_there_is_no_paper_and_the_reason(
    small_day: Session, sign_in: SignIn
) -> None:
    client = sign_in(COORDINATOR)

    assert "no roster is proposed yet" in read(client)
    assert client.get(f"{PAPERS}/cards-a4.pdf").status_code == 404


@pytest.mark.parametrize("name", ["task-Z-a4", "cards-a5", "roster-", "x-y-a4"])
def test_a_paper_that_is_not_there_is_not_found(roster: Roster, sign_in: SignIn, name: str) -> None:
    assert sign_in(LEAD).get(f"{PAPERS}/{name}.pdf").status_code == 404


@pytest.mark.parametrize("who", [VOLUNTEER, STRANGER])
def test_papers_are_for_those_who_carry_the_day(roster: Roster, sign_in: SignIn, who: str) -> None:
    client = sign_in(who)

    assert client.get(f"{PAPERS}/").status_code == 404
    assert client.get(f"{PAPERS}/cards-a4.pdf").status_code == 404


def test_published_papers_say_when_people_were_told_otherwise(
    roster: Roster, sign_in: SignIn
) -> None:
    publish_roster(roster_id=roster.pk, at=NOW)
    client = sign_in(COORDINATOR)
    assert "out of date" not in read(client)

    SignUp.objects.filter(person__code="P02").update(state=SignUp.State.WITHDRAWN)
    SignUp.objects.create(
        session=roster.session, person=Person.objects.get(code="P11"),
        state=SignUp.State.CONFIRMED, at=NOW + timedelta(hours=1),
    )  # fmt: skip
    page = read(client)

    assert "The papers are out of date" in page
    assert f"no longer signed up: {Person.objects.get(code='P02')}." in page
    assert f"on no crew: {Person.objects.get(code='P11')}." in page
    first = Person.objects.get(code="P01").first_name
    assert first in page.split("Told something else than what holds now")[1]

    Session.objects.filter(pk=roster.session_id).update(meeting_point="The other gate")
    assert "Told something else" in read(client)
