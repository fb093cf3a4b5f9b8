"""Names as people have them, and as somebody mischievous types them, reach paper and calendar."""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
import vobject
from pypdf import PdfReader

from scheduling.domain.people import LONGEST_NAME
from scheduling.models import Person, Session, SignUp
from tests.scheduling.services.test_privacy import written
from tests.signed_in import season_of_the_file  # noqa: F401 (the fixture)

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

NAMES = {
    "P01": "=SUM(A1)",
    "P03": "D’Arcy O'Neill",
    "P05": "+49 @home",
    "P08": 'Jo "Jojo", <b>Li</b>; x',
}
RIGHT_TO_LEFT, EMOJI = "אורי", "Zoë 🌳"
LONGEST = ("Maximiliane-Wilhelmina " * 14)[:LONGEST_NAME].strip()


def rename(names: dict[str, str], code: str = "S01") -> None:
    session = Session.objects.get(code=code)
    for who, name in names.items():
        person = Person.objects.get(code=who)
        person.first_name, person.family_name = name, ""
        person.save()
        SignUp.objects.update_or_create(
            session=session,
            person=person,
            defaults={"state": SignUp.State.CONFIRMED, "at": datetime(2027, 2, 1, tzinfo=UTC)},
        )


def test_names_stand_on_the_papers_as_they_were_written(tmp_path: Path) -> None:
    rename(NAMES)
    packs = written("S01", tmp_path).day_packs
    for pack in packs:
        pages = PdfReader(BytesIO(pack.read_bytes())).pages
        text = " ".join(" ".join(page.extract_text() for page in pages).split())
        for name in NAMES.values():
            assert name in text


def test_names_no_font_shows_and_the_longest_still_make_a_paper(tmp_path: Path) -> None:
    rename({"P01": RIGHT_TO_LEFT, "P03": EMOJI, "P05": LONGEST})
    for pack in written("S01", tmp_path).day_packs:
        pages = PdfReader(BytesIO(pack.read_bytes())).pages
        text = " ".join(page.extract_text() for page in pages)
        assert "Zoë" in text
        assert "Maximiliane-Wilhelmina" in text
        # The extractor may give right-to-left letters in either order; none may be lost.
        assert RIGHT_TO_LEFT in text or RIGHT_TO_LEFT[::-1] in text


def test_names_stand_in_the_calendar_and_break_no_line_of_it(tmp_path: Path) -> None:
    rename({**NAMES, "P10": RIGHT_TO_LEFT, "P12": EMOJI, "P13": LONGEST})
    found: list[list[str]] = []
    for path in written("S01", tmp_path).invites:
        raw = path.read_bytes()
        assert all(len(line) <= 75 for line in raw.split(b"\r\n"))  # RFC 5545, section 3.1
        entry = vobject.readOne(raw.decode()).vevent
        found.append(entry.attendee.params["CN"])

    # RFC 6868 writes a quotation mark in a parameter as ^'; vobject leaves that as it stands.
    wanted = {name.replace('"', "^'") for name in NAMES.values()}
    assert {*wanted, RIGHT_TO_LEFT, EMOJI, LONGEST} <= {one for names in found for one in names}
