"""First-aid notes are read on the day by lead and first aider, each look is kept, nobody else."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html import unescape
from http import HTTPStatus
from pathlib import Path

import pytest
import time_machine
from django.test import Client

from scheduling.models import (
    DayContact,
    FirstAidNote,
    NoteView,
    Person,
    Session,
    SignUp,
    SkillRecord,
)
from tests.scheduling.services.test_privacy import written
from tests.scheduling.sheets.reading import page_texts
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LEAD,
    LIAISON,
    NOW,
    S02,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

DAY = datetime(2027, 3, 20, 9, 0, tzinfo=UTC)
LIST = f"{S02}/first-aid/"
WORDS = "Carries an inhaler, blue, in the left pocket."


def put(code: str, state: str = SignUp.State.CONFIRMED) -> None:
    SignUp.objects.update_or_create(
        session=Session.objects.get(code="S02"),
        person=Person.objects.get(code=code),
        defaults={"state": state, "at": NOW},
    )


@pytest.fixture
def noted(sign_in: SignIn) -> Iterator[Person]:
    """A young person with a note and a contact; their guardian has first aid, P03 leads."""
    session = Session.objects.get(code="S02")
    SignUp.objects.filter(session=session).delete()
    for code in ("P02", "P03", "P06", "P41"):
        put(code)
    child = Person.objects.get(code="P41")
    FirstAidNote.objects.create(
        person=child, text=WORDS, written_at=NOW, keep_until=DAY.date() + timedelta(days=7)
    )
    DayContact.objects.create(person=child, name="Ana", telephone="555 0143")
    with time_machine.travel(DAY, tick=False):
        yield child


def read(client: Client, address: str = LIST) -> str:
    answer = client.get(address)
    assert answer.status_code == HTTPStatus.OK
    return unescape(answer.content.decode())


@pytest.mark.parametrize("who", [LEAD, GUARDIAN])
def test_the_lead_and_a_first_aider_see_marks_and_open_one_note(
    sign_in: SignIn, noted: Person, who: str
) -> None:
    client = sign_in(who)
    with time_machine.travel(DAY, tick=False):
        listed = read(client)
        assert "Ana, 555 0143" in listed
        assert f"the note of {noted}" in listed
        assert WORDS not in listed
        assert not NoteView.objects.exists()

        opened = client.post(f"{LIST}{noted.pk}/")

    assert WORDS in unescape(opened.content.decode())
    assert "no-store" in opened.headers["Cache-Control"]


def test_one_view_adds_exactly_one_row_without_the_note(sign_in: SignIn, noted: Person) -> None:
    """Reference, 10.10 (ASVS 16.3.2): a log row holds ids, no content."""
    client = sign_in(LEAD)
    with time_machine.travel(DAY, tick=False):
        client.post(f"{LIST}{noted.pk}/")

    (row,) = NoteView.objects.values()
    assert (row["person_id"], row["at"]) == (noted.pk, DAY)
    assert row["viewed_by_id"] == Person.objects.get(code="P03").user_id
    assert "inhaler" not in repr(row)
    assert set(row) == {"id", "person_id", "viewed_by_id", "session_id", "at"}


@pytest.mark.usefixtures("noted")
@pytest.mark.parametrize("who", [COORDINATOR, VOLUNTEER, LIAISON, STRANGER])
def test_everybody_else_finds_no_page_and_leaves_no_row(
    sign_in: SignIn, noted: Person, who: str
) -> None:
    client = sign_in(who)
    with time_machine.travel(DAY, tick=False):
        statuses = {client.get(LIST).status_code, client.post(f"{LIST}{noted.pk}/").status_code}

    assert statuses == {HTTPStatus.NOT_FOUND}
    assert not NoteView.objects.exists()


@pytest.mark.parametrize(
    ("at", "opens"),
    [
        # The site is one hour ahead of UTC in March before the clocks change (Europe/Amsterdam).
        (datetime(2027, 3, 19, 22, 59, tzinfo=UTC), False),
        (datetime(2027, 3, 19, 23, 0, tzinfo=UTC), True),
        (datetime(2027, 3, 20, 22, 59, tzinfo=UTC), True),
        (datetime(2027, 3, 20, 23, 0, tzinfo=UTC), False),
    ],
)
@pytest.mark.usefixtures("noted")
def test_only_on_the_sessions_own_day_at_the_site(
    sign_in: SignIn, at: datetime, opens: bool
) -> None:
    client = sign_in(LEAD)
    with time_machine.travel(at, tick=False):
        status = client.get(LIST).status_code

    assert status == (HTTPStatus.OK if opens else HTTPStatus.NOT_FOUND)


@pytest.mark.usefixtures("noted")
def test_a_coordinator_reads_by_first_aid_or_by_leading_alone(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)
    put("P01")
    with time_machine.travel(DAY, tick=False):
        assert client.get(LIST).status_code == HTTPStatus.NOT_FOUND  # P03 leads
        put("P03", SignUp.State.WITHDRAWN)
        assert client.get(LIST).status_code == HTTPStatus.OK  # now P01 does
        put("P03")
        skill = SkillRecord.objects.create(
            person=Person.objects.get(code="P01"),
            skill="first_aid",
            signed_off_by="Ellemarre First Aid Post",
            last_day=DAY.date(),
        )
        assert client.get(LIST).status_code == HTTPStatus.OK
        skill.last_day = DAY.date() - timedelta(days=1)
        skill.save()
        assert client.get(LIST).status_code == HTTPStatus.NOT_FOUND


def test_a_first_aider_who_is_not_on_the_session_or_is_young_reads_nothing(
    sign_in: SignIn, noted: Person
) -> None:
    client = sign_in(GUARDIAN)
    guardian = Person.objects.get(code="P02")
    with time_machine.travel(DAY, tick=False):
        put("P02", SignUp.State.WITHDRAWN)
        assert client.get(LIST).status_code == HTTPStatus.NOT_FOUND
        put("P02")
        guardian.birth_year = 2011
        guardian.save()
        assert client.get(LIST).status_code == HTTPStatus.NOT_FOUND
        assert client.post(f"{LIST}{noted.pk}/").status_code == HTTPStatus.NOT_FOUND


def test_no_note_of_whoever_is_not_there_or_whose_note_is_over(
    sign_in: SignIn, noted: Person
) -> None:
    client = sign_in(LEAD)
    with time_machine.travel(DAY, tick=False):
        FirstAidNote.objects.update(keep_until=DAY.date() - timedelta(days=1))
        assert client.post(f"{LIST}{noted.pk}/").status_code == HTTPStatus.NOT_FOUND
        FirstAidNote.objects.update(keep_until=DAY.date())
        put("P41", SignUp.State.WITHDRAWN)
        assert client.post(f"{LIST}{noted.pk}/").status_code == HTTPStatus.NOT_FOUND

    assert not NoteView.objects.exists()


def test_a_note_is_opened_by_pressing_never_by_an_address(sign_in: SignIn, noted: Person) -> None:
    client = sign_in(LEAD)
    with time_machine.travel(DAY, tick=False):
        assert client.get(f"{LIST}{noted.pk}/").status_code == HTTPStatus.METHOD_NOT_ALLOWED

    assert not NoteView.objects.exists()


@pytest.mark.usefixtures("noted")
def test_the_sessions_page_leads_there_only_those_who_may_read(sign_in: SignIn) -> None:
    lead, volunteer = sign_in(LEAD), sign_in(VOLUNTEER)
    with time_machine.travel(DAY, tick=False):
        assert LIST in read(lead, f"{S02}/")
        assert LIST not in read(volunteer, f"{S02}/")


@pytest.mark.usefixtures("noted", "sign_in")
def test_no_paper_carries_note_or_contact(tmp_path: Path) -> None:
    written("S02", tmp_path)
    text = " ".join(
        " ".join(page_texts(file.read_bytes())) for file in sorted(tmp_path.rglob("*.pdf"))
    )

    assert "Minh" in text
    assert "inhaler" not in text
    assert "555 0143" not in text
