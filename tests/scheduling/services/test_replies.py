"""Calendars answer: a refusal withdraws once, and what cannot be believed changes nothing."""

from datetime import timedelta
from email.message import EmailMessage
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from icalendar import Calendar

from scheduling.models import InviteState, KeptReply, Message, Person, Roster, Session, SignUp
from scheduling.services.publish import publish_roster
from scheduling.services.replies import take_reply
from tests.scheduling.services.test_publish import address_of, write_draft
from tests.signed_in import NOW

LATER = NOW + timedelta(days=1)


@pytest.fixture
def published(small_day: Session) -> Session:
    draft = write_draft(small_day, ("P01", "P02", "P03"), version=1)
    publish_roster(roster_id=draft.pk, at=NOW)
    return small_day


def answer(code: str, partstat: str = "DECLINED", at=LATER, **lines: object) -> bytes:
    """Return what the calendar of somebody invited answers to the newest invite it got."""
    message = Message.objects.filter(to=address_of(code), method="REQUEST").latest("pk")
    calendar = Calendar.from_ical(bytes(message.calendar))
    calendar["METHOD"] = "REPLY"
    event = calendar.events[0]
    event["ATTENDEE"].params["PARTSTAT"] = partstat
    for name, value in {"DTSTAMP": at, **lines}.items():
        event.pop(name, None)
        event.add(name, value)
    return calendar.to_ical()


def signup_of(code: str) -> str:
    return SignUp.objects.get(session__code="S01", person__code=code).state


def notices() -> list[tuple[str, str]]:
    rows = Message.objects.filter(kind="notice").order_by("to")
    return list(rows.values_list("to", "subject"))


def test_an_acceptance_is_noted_and_tells_nobody(published: Session) -> None:
    receipt = take_reply(answer("P02", "ACCEPTED"), at=LATER)

    state = InviteState.objects.get(attendee_email=address_of("P02"))
    assert (receipt.outcome, state.answer, state.answered_at) == ("coming", "ACCEPTED", LATER)
    assert signup_of("P02") == SignUp.State.CONFIRMED
    assert notices() == []


def test_a_refusal_withdraws_and_tells_the_reader_and_the_office(published: Session) -> None:
    receipt = take_reply(answer("P02"), at=LATER)

    name = Person.objects.get(code="P02").first_name
    office = published.season.site.organiser_email
    assert receipt.outcome == "withdrawn"
    assert signup_of("P02") == SignUp.State.WITHDRAWN
    assert {to for to, _ in notices()} == {office, address_of("P02")}
    assert all(name in subject for _, subject in notices())
    told = Message.objects.get(kind="notice", to=address_of("P02"))
    assert "/seasons/2027/sessions/S01/" in told.text


def test_the_same_file_read_twice_changes_nothing_more(published: Session) -> None:
    written = answer("P02")
    take_reply(written, at=LATER)

    receipt = take_reply(written, at=LATER + timedelta(hours=1))

    assert (receipt.outcome, receipt.is_new) == ("withdrawn", False)
    assert KeptReply.objects.count() == 1
    assert len(notices()) == 2


def test_an_older_answer_that_arrives_late_does_not_undo_a_newer_one(published: Session) -> None:
    """RFC 5546 section 2.1.5: of two with one SEQUENCE the later DTSTAMP counts."""
    take_reply(answer("P02", "ACCEPTED", at=LATER), at=LATER)

    receipt = take_reply(answer("P02", "DECLINED", at=NOW), at=LATER)

    assert receipt.outcome == "refused"
    assert signup_of("P02") == SignUp.State.CONFIRMED


def test_an_answer_to_a_version_that_has_changed_is_stale(published: Session) -> None:
    stale = answer("P03")
    second = write_draft(published, ("P01", "P02", "P05"), version=2)
    publish_roster(roster_id=second.pk, at=NOW)

    receipt = take_reply(stale, at=LATER)

    assert receipt.outcome == "refused"
    assert "has changed" in receipt.reason
    assert signup_of("P03") == SignUp.State.CONFIRMED


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ({"UID": "not-ours@example.org"}, "No invite"),
        ({"ATTENDEE": "mailto:eve@example.org"}, "was not invited"),
    ],
)
def test_forged_and_foreign_answers_are_kept_with_the_reason(
    published: Session, lines: dict[str, str], says: str
) -> None:
    calendar = Calendar.from_ical(answer("P02"))
    event = calendar.events[0]
    for name, value in lines.items():
        event.pop(name)
        event.add(name, value, parameters={"PARTSTAT": "DECLINED"} if name == "ATTENDEE" else {})

    receipt = take_reply(calendar.to_ical(), at=LATER)

    kept = KeptReply.objects.get()
    assert receipt.outcome == kept.outcome == "refused"
    assert says in kept.reason
    assert signup_of("P02") == SignUp.State.CONFIRMED


def test_a_mail_in_somebody_elses_name_withdraws_nobody(published: Session) -> None:
    mail = EmailMessage()
    mail["From"] = "eve@example.org"
    mail.set_content("Declined.")
    mail.add_attachment(answer("P02"), maintype="text", subtype="calendar")

    assert "came from eve@example.org" in take_reply(mail.as_bytes(), at=LATER).reason
    assert signup_of("P02") == SignUp.State.CONFIRMED


def test_nonsense_is_kept_as_unreadable(published: Session) -> None:
    receipt = take_reply(b"\x00\xff nonsense", at=LATER)

    assert receipt.outcome == "unreadable"
    assert bytes(KeptReply.objects.get().content) == b"\x00\xff nonsense"


def test_who_withdrew_on_the_page_is_not_brought_back_by_an_old_acceptance(
    published: Session,
) -> None:
    SignUp.objects.filter(person__code="P02").update(state=SignUp.State.WITHDRAWN)

    receipt = take_reply(answer("P02", "ACCEPTED"), at=LATER)

    assert receipt.outcome == "refused"
    assert signup_of("P02") == SignUp.State.WITHDRAWN
    assert take_reply(answer("P02", at=LATER + timedelta(1)), at=LATER).outcome == "withdrawn"


def test_nobody_is_withdrawn_from_a_session_that_has_begun(published: Session) -> None:
    begun = published.starts_at + timedelta(minutes=5)

    receipt = take_reply(answer("P02", at=begun), at=begun)

    assert receipt.outcome == "refused"
    assert signup_of("P02") == SignUp.State.CONFIRMED
    assert any(subject.startswith("Not withdrawn") for _, subject in notices())


def test_the_command_reads_a_folder_and_moves_what_it_read(
    published: Session, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    box, done = tmp_path / "new", tmp_path / "read"
    box.mkdir()
    (box / "1.eml").write_bytes(b"hello")
    (box / "2.ics").write_bytes(answer("P02", "TENTATIVE"))

    call_command("read_replies", box, "--move-to", done)

    said = capsys.readouterr().out
    assert "1.eml: unreadable" in said
    assert "2.ics: unsure" in said
    assert sorted(path.name for path in done.iterdir()) == ["1.eml", "2.ics"]
    assert list(box.iterdir()) == []
    call_command("read_replies", done)
    assert "unsure (read before)" in capsys.readouterr().out
    with pytest.raises(CommandError, match="no file or folder"):
        call_command("read_replies", tmp_path / "nowhere")


def test_publishing_after_a_refusal_withdraws_the_entry_once(published: Session) -> None:
    take_reply(answer("P05"), at=LATER)

    receipt = publish_roster(roster_id=Roster.objects.get().pk, at=LATER)

    assert receipt.cancelled == 1
