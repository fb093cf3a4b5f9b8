"""One person after another with a name that breaks things, followed to every page, file and paper.

Formula cells: OWASP ASVS 5.0, 1.2.10. The longest name that can be typed has 120 characters in
each part; one of 300 is refused in words. Calendars: `services.test_hostile_names`.
"""

import csv
import json
from html import unescape
from io import BytesIO, StringIO

import pytest
from django.test import Client
from openpyxl import load_workbook
from pypdf import PdfReader

from scheduling.models import Person, RosterPlace, Session, SignUp
from tests.project.test_access_matrix import publish_a_roster
from tests.signed_in import COORDINATOR, GUARDIAN, LEAD, NOW, S02, SITE, VOLUNTEER, SignIn

NAMES = {
    "formula": "=HYPERLINK(1)",
    "apostrophes": "D’Arcy O'Neill-‘s Gravenhage",
    "markup": '<b>"Jo"</b> & {{ 7 }}',
    "right to left": "אורי בן־דוד",
    "emoji": "Zoë 🌳",
    "longest": ("Maximiliane-Wilhelmina " * 14)[:300],
    "unbroken": "x" * 300,
}


@pytest.fixture(params=sorted(NAMES))
def name(request: pytest.FixtureRequest) -> str:
    return NAMES[request.param].strip()


@pytest.fixture
def named(sign_in: SignIn, name: str) -> Person:
    """The volunteer under that name, without a family name, at work in S02."""
    SignUp.objects.filter(session__code="S02").delete()
    person = Person.objects.get(user__email=VOLUNTEER)
    person.first_name, person.family_name = name, ""
    person.restrictions = ["tell the lead"]
    person.save()
    session = Session.objects.get(code="S02")
    for who in (person, Person.objects.get(code="P01")):
        SignUp.objects.create(session=session, person=who, state="confirmed", at=NOW)
    publish_a_roster()
    place = RosterPlace.objects.get(roster__session=session)
    RosterPlace.objects.create(roster=place.roster, person=person, round=0, task=place.task)
    return person


def as_typed(answer) -> str:
    return unescape(answer.content.decode())


def test_pages_show_it_whole_and_as_text(sign_in: SignIn, named: Person, name: str) -> None:
    pages = {
        COORDINATOR: (
            f"{SITE}/people/", f"{SITE}/people/{named.pk}/", f"{S02}/roster/", f"{S02}/day-now/",
            f"{S02}/roster/move/", f"{S02}/roster/repair/", f"{S02}/roster/fixed/",
        ),
        VOLUNTEER: (f"{SITE}/my-people/", f"{SITE}/my-people/{named.pk}/", f"{S02}/"),
    }  # fmt: skip
    for who, addresses in pages.items():
        client = sign_in(who)
        for address in addresses:
            answer = client.get(address)
            assert name in as_typed(answer), address
            assert "<b>" not in answer.content.decode(), address


def test_files_hold_it_and_no_cell_is_a_formula(sign_in: SignIn, named: Person, name: str) -> None:
    client = sign_in(COORDINATOR)
    text = client.get(f"{SITE}/people/people.csv").content.decode("utf-8-sig")
    cells = [cell for row in csv.reader(StringIO(text)) for cell in row]
    assert any(cell.removeprefix("'") == name for cell in cells)
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]
    book = load_workbook(BytesIO(client.get(f"{SITE}/people/people.xlsx").content))
    written = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert any(str(cell.value).removeprefix("'") == name for cell in written)
    assert not [cell for cell in written if cell.data_type == "f"]
    own = sign_in(VOLUNTEER).get(f"{SITE}/my-people/{named.pk}/held.json").content
    assert json.loads(own)["about"] == name


def test_papers_lose_no_letter_of_it(sign_in: SignIn, named: Person, name: str) -> None:
    client = sign_in(LEAD)
    for sheet in ("sign-in", "roster", "lead", "cards"):
        answer = client.get(f"{S02}/papers/{sheet}-a4.pdf")
        assert answer.status_code == 200, sheet
        pages = PdfReader(BytesIO(answer.content)).pages
        text = "".join("".join(page.extract_text() for page in pages).split())
        for word in name.split():
            if not word.isascii() and word == "🌳":
                continue  # the fonts of the papers draw no emoji; the name beside it stays
            # The extractor may give right-to-left letters in either order; none may be lost.
            assert word in text or word[::-1] in text or _in_pieces(word, text), (sheet, word)


def _in_pieces(word: str, text: str) -> bool:
    """Say whether a word that filled more than a line stands there, cut into lines."""
    return len(word) > 60 and text.count("x") >= len(word)


@pytest.mark.parametrize("field", ["first_name", "family_name"])
def test_more_than_three_hundred_letters_are_refused_in_words(sign_in: SignIn, field: str) -> None:
    said = {"first_name": "A", "family_name": "B", "birth_month": 1, "birth_year": 1980}

    page = as_typed(sign_in(COORDINATOR).post(f"{SITE}/people/add/", said | {field: "y" * 301}))

    assert "at most 300 characters (it has 301)" in page
    assert "y" * 301 in page, "what was typed is still there to be shortened"


def test_a_child_with_such_a_name_is_added_by_the_guardian(sign_in: SignIn, name: str) -> None:
    guardian: Client = sign_in(GUARDIAN)
    said = {"first_name": name, "birth_month": 5, "birth_year": 2015}

    assert name in as_typed(guardian.post(f"{SITE}/my-people/", said, follow=True))
    assert name in as_typed(guardian.get(f"{SITE}/my-people/"))
