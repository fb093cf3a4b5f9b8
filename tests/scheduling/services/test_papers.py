"""Writing papers to a folder: whole files, the same again, and none of people who left."""

from email import message_from_bytes, policy
from io import BytesIO
from pathlib import Path
from unittest import mock

import pytest
import vobject
from pypdf import PdfReader

from scheduling.domain.errors import RosterUnknown
from scheduling.models import InviteState, Roster, Session, SignUp
from scheduling.services import papers
from scheduling.services.papers import write_papers
from scheduling.services.publish import publish_roster
from tests.scheduling.services.test_publish import CREW, write_draft
from tests.signed_in import NOW


@pytest.fixture
def published(small_day: Session) -> Roster:
    roster = write_draft(small_day, CREW[:3], version=1)
    publish_roster(roster_id=roster.pk, at=NOW)
    return roster


def contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_day_packs_calendar_and_one_invite_for_each_person(
    published: Roster, tmp_path: Path
) -> None:
    written = write_papers(roster_id=published.pk, folder=tmp_path / "new" / "folder")

    assert [path.name for path in written.day_packs] == [
        "2027-S01-day-pack-a4.pdf",
        "2027-S01-day-pack-letter.pdf",
    ]
    for path in written.day_packs:
        text = "".join(page.extract_text() for page in PdfReader(BytesIO(path.read_bytes())).pages)
        assert "Ilse V." in text
        assert "Measure T01 to T09" in text
    assert len(written.invites) == len(CREW)
    calendar = vobject.readOne(written.session_file.read_text(encoding="utf-8"))
    assert calendar.vevent.dtstart.value == published.session.starts_at


def test_invites_on_paper_carry_the_sequence_that_was_mailed(
    published: Roster, tmp_path: Path
) -> None:
    InviteState.objects.update(sequence=4)

    written = write_papers(roster_id=published.pk, folder=tmp_path)

    for path in written.invites:
        event = vobject.readOne(path.read_text(encoding="utf-8")).vevent
        assert event.sequence.value == "4"


def test_writing_again_gives_the_same_bytes(published: Roster, tmp_path: Path) -> None:
    write_papers(roster_id=published.pk, folder=tmp_path)
    before = contents(tmp_path)

    write_papers(roster_id=published.pk, folder=tmp_path)

    assert contents(tmp_path) == before


def test_invites_of_people_who_left_go_and_other_sessions_files_stay(
    published: Roster, tmp_path: Path
) -> None:
    write_papers(roster_id=published.pk, folder=tmp_path)
    other = tmp_path / "invites" / "S02-somebody-12345678.ics"
    other.write_text("another session's")
    SignUp.objects.filter(session__code="S01", person__code="P11").delete()

    write_papers(roster_id=published.pk, folder=tmp_path)

    names = [path.name for path in (tmp_path / "invites").iterdir()]
    assert not [name for name in names if name.startswith("2027-S01-tomas")]
    assert len(names) == len(CREW)
    assert other.exists()


def test_half_a_file_left_by_a_crash_is_replaced(published: Roster, tmp_path: Path) -> None:
    half = tmp_path / "2027-S01-day-pack-a4.pdf"
    half.write_bytes(b"%PDF-1.4\nhalf of a pa")

    write_papers(roster_id=published.pk, folder=tmp_path)

    assert len(PdfReader(BytesIO(half.read_bytes())).pages) > 0


def test_a_failing_disk_leaves_the_old_file_and_no_half_one(
    published: Roster, tmp_path: Path
) -> None:
    write_papers(roster_id=published.pk, folder=tmp_path)
    before = contents(tmp_path)

    with (
        mock.patch.object(Path, "replace", side_effect=OSError("disk full")),
        pytest.raises(OSError, match="disk full"),
    ):
        write_papers(roster_id=published.pk, folder=tmp_path)

    assert contents(tmp_path) == before


def test_there_are_no_papers_of_a_roster_that_is_not_there(
    small_day: Session, tmp_path: Path
) -> None:
    with pytest.raises(RosterUnknown, match="999999"):
        papers.write_papers(roster_id=999_999, folder=tmp_path / "none")

    assert not (tmp_path / "none").exists()


def test_the_mails_lie_there_as_they_are_sent(published: Roster, tmp_path: Path) -> None:
    """RFC 5322 read by the standard library: one mail a person, its invite inside."""
    written = write_papers(roster_id=published.pk, folder=tmp_path)

    assert len(written.mails) == len(CREW)
    for path in written.mails:
        mail = message_from_bytes(path.read_bytes(), policy=policy.default)
        (calendar,) = [p for p in mail.walk() if p.get_content_type() == "text/calendar"]
        assert vobject.readOne(calendar.get_content()).method.value == "REQUEST"
        assert mail["To"] in calendar.get_content().replace("\r\n ", "")
    assert [path.name for path in written.extras] == [
        "2027-S01-cards-a4.pdf",
        "2027-S01-gate-a4.pdf",
        "2027-S01-cards-letter.pdf",
        "2027-S01-gate-letter.pdf",
    ]
