"""People in and out by spreadsheet: shown first, saved once, safe as a formula, on one site only.

Formula injection: OWASP ASVS 1.2.10 (cells beginning = + - @ tab CR get an apostrophe).
"""

import csv
from html import unescape
from http import HTTPStatus
from io import BytesIO, StringIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from openpyxl import Workbook, load_workbook

from orchard.models import Site
from scheduling.domain.people_rows import PEOPLE_HEADS
from scheduling.models import Person, SkillRecord
from scheduling.services.people_sheets import load_person_lines
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LEAD,
    LIAISON,
    SITE,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

FILE = f"{SITE}/people/file/"
HEAD = "code,first_name,family_name,birth_year,birth_month,guardian,restrictions,skills\n"
HOSTILE = (
    "=SUM(A1)", "+1", "-1", "@cmd", "’=1", "'=1", "אורי בן־דוד", "Zoë 🌳👩‍🌾", "D’Arcy O'Neill",
    'Jo "Jojo" Li, jr; x', "<b>Bold</b>",
)  # fmt: skip


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def site_id() -> int:
    return Site.objects.get(slug="traverser-yard").pk


def look(client: Client, data: bytes | str, name: str = "people.csv"):
    raw = data.encode() if isinstance(data, str) else data
    return client.post(FILE, {"file": SimpleUploadedFile(name, raw)})


def words(answer) -> str:
    return unescape(answer.content.decode())


def save(client: Client, looked):
    seal = looked.context["form"].initial["seal"]
    return client.post(f"{FILE}save/", {"seal": seal}, follow=True)


def in_workbook(*rows: tuple[object, ...]) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    kept = BytesIO()
    book.save(kept)
    return kept.getvalue()


def test_nothing_is_saved_until_confirmed_and_then_once(client: Client) -> None:
    before = Person.objects.count()
    file = HEAD + (
        ",Ada,Brook,1980,4,,,lead until 2028-12-31\nM1,Mia,Brook,2014,6,P01,no lifting,\n"
    )
    looked = look(client, file)
    assert "2 to add, 0 to change" in words(looked)
    assert Person.objects.count() == before

    assert "2 added" in words(save(client, looked))
    again = save(client, looked)

    assert "perhaps by a first press" in words(again)
    assert Person.objects.count() == before + 2
    ada = Person.objects.get(first_name="Ada")
    mia = Person.objects.get(code="M1")
    assert ada.code.startswith("N")
    assert (mia.guardian.code, mia.restrictions, mia.user) == ("P01", ["no lifting"], None)
    signed = SkillRecord.objects.get(person=ada)
    assert (signed.skill, str(signed.last_day)) == ("lead", "2028-12-31")
    assert signed.signed_off_by == "Ilse Vandermolen"
    assert "has this name and month of birth" in words(look(client, file))


def test_a_guardian_may_stand_in_the_same_file_below_the_child(client: Client) -> None:
    looked = look(client, HEAD + "C1,Kid,,2015,1,G1,,\nG1,Gran,,1960,1,,,\n")
    save(client, looked)

    assert Person.objects.get(code="C1").guardian == Person.objects.get(code="G1")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (f"X1,{'a' * 301},,1980,1,,,", "“first_name” has 301 signs; at most 300 fit."),
        ("X1,,,1980,1,,,", "“first_name” is empty"),
        ("X1,Ann,,1980,13,,,", "“birth_month” is “13”; it must be a whole number from 1 to 12"),
        ("X1,Ann,,abc,1,,,", "“birth_year” is “abc”"),
        ("X1,Ann,,2027,2,,,", "is under 18. Give the code of an adult"),
        ("X1,Ann,,2015,2,P41,,", "The guardian P41 is under 18"),
        ("X1,Ann,,2015,2,Q99,,", "The guardian “Q99” is nobody of this site"),
        ("X1,Ann,,1980,2,P01,,", "An adult has no guardian"),
        ("X1,Ann,,1980,2,,no singing,", "“restrictions” names “no singing”"),
        ("X1,Ann,,1980,2,,,lead", "“skills” holds “lead”. Write each as"),
        ("X1,Ann,,1980,2,,,lead until 2028-02-30", "Write each as"),
        ("X 1,Ann,,1980,2,,,", "a code has at most 20 letters"),
        ("P02,Hạnh,Nguyễn,2012,2,P01,,", "is somebody's guardian"),
    ],
)
def test_each_row_left_out_says_why(client: Client, row: str, says: str) -> None:
    looked = look(client, HEAD + row + "\n")

    assert says in words(looked)
    assert "There is nothing to save" in words(looked)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("first_name,birth_year,birth_month,date_of_birth\nA,1980,1,x\n", "unknown the column"),
        ("first_name,birth_year\nA,1980\n", "lacks the column birth_month"),
        ("", "empty"),
        (b"PK\x03\x04nonsense", "The workbook cannot be read"),
        (b"\x89PNG\x00\x00", "not text"),
    ],
)
def test_a_file_that_cannot_be_used_says_why(client: Client, data: bytes | str, says: str) -> None:
    assert says in words(look(client, data))


def test_what_the_file_does_not_name_stays_and_differences_are_shown(client: Client) -> None:
    looked = look(client, "code,first_name,birth_year,birth_month\nP06,Sören,1995,9\n")
    assert "first_name: “Søren” becomes “Sören”" in words(looked)
    save(client, looked)

    person = Person.objects.get(code="P06")
    assert (person.first_name, person.family_name) == ("Sören", "Østbakke")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_goes_out_comes_back_without_a_difference(client: Client, kind: str) -> None:
    for number, name in enumerate(HOSTILE):
        Person.objects.create(
            site_id=site_id(), code=f"H{number}", first_name=name, birth_year=1980, birth_month=1
        )
    sent = client.get(f"{SITE}/people/people.{kind}")
    looked = look(client, sent.content, f"people.{kind}")

    changes = looked.context["changes"]
    assert changes.is_empty
    assert changes.bad == ()
    assert set(changes.left) == set(load_person_lines(site_id()))
    assert "no-store" in sent.headers["Cache-Control"]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_no_cell_that_goes_out_is_a_formula(client: Client, kind: str) -> None:
    for number, name in enumerate(HOSTILE):
        Person.objects.create(
            site_id=site_id(), code=f"H{number}", first_name=name, birth_year=1980, birth_month=1
        )
    content = client.get(f"{SITE}/people/people.{kind}").content
    if kind == "csv":
        rows = list(csv.reader(StringIO(content.decode("utf-8-sig"))))
    else:
        sheet = load_workbook(BytesIO(content)).active
        kinds = {cell.data_type for row in sheet.iter_rows() for cell in row}
        assert kinds <= {"s", "inlineStr", "n"}
        rows = [[cell or "" for cell in row] for row in sheet.iter_rows(values_only=True)]

    assert tuple(rows[0]) == PEOPLE_HEADS
    cells = [str(cell) for row in rows for cell in row]
    assert "'=SUM(A1)" in cells
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]


def test_a_workbook_with_numbers_is_read_and_one_with_a_formula_is_not(client: Client) -> None:
    heads = ("first_name", "birth_year", "birth_month")
    assert "1 to add" in words(look(client, in_workbook(heads, ("Ann", 1980, 2.0)), "p.xlsx"))
    refused = look(client, in_workbook(heads, ("=SUM(A1)", 1980, 2)), "p.xlsx")
    assert "The cell A2 holds a formula" in words(refused)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_saved_as_it_was_written(client: Client, name: str) -> None:
    cell = '"' + name.replace('"', '""') + '"'
    if name[0] in "=+-@'":
        cell = "\"'" + cell[1:]  # as every spreadsheet program that is safe writes it
    looked = look(client, HEAD + f"H1,{cell},,1980,1,,,\n")
    save(client, looked)

    assert Person.objects.get(code="H1").first_name == name


def test_another_sites_codes_are_nobody_here(client: Client) -> None:
    other = Site.objects.get(slug="elsewhere")
    theirs = Person.objects.create(
        site=other, code="ZZ1", first_name="Theirs", birth_year=1970, birth_month=1
    )
    looked = look(client, HEAD + "ZZ1,Ours,,1980,1,,,\nK1,Kid,,2015,1,ZZ2,,\n")
    assert "1 to add, 0 to change" in words(looked)
    save(client, looked)

    theirs.refresh_from_db()
    assert theirs.first_name == "Theirs"
    assert Person.objects.get(code="ZZ1", site_id=site_id()).first_name == "Ours"
    assert "Theirs" not in client.get(f"{SITE}/people/people.csv").content.decode()


def test_whoever_is_off_the_list_is_neither_changed_nor_sent(client: Client) -> None:
    Person.objects.filter(code="P06").update(active=False)

    assert "P06 is off the site's list" in words(look(client, HEAD + "P06,S,,1995,9,,,\n"))
    assert "Østbakke" not in client.get(f"{SITE}/people/people.csv").content.decode()


def test_an_old_foreign_or_forged_preview_is_refused(client: Client) -> None:
    before = Person.objects.count()
    for seal in ("", "x", "x:y:z"):
        answer = client.post(f"{FILE}save/", {"seal": seal}, follow=True)
        assert "This preview is too old" in words(answer)

    assert Person.objects.count() == before


@pytest.mark.parametrize("who", [LEAD, VOLUNTEER, GUARDIAN, LIAISON, STRANGER])
def test_only_the_coordinator(sign_in: SignIn, who: str) -> None:
    client = sign_in(who)
    statuses = {
        client.get(FILE).status_code,
        look(client, HEAD).status_code,
        client.post(f"{FILE}save/").status_code,
        client.get(f"{SITE}/people/people.csv").status_code,
        client.get(f"{SITE}/people/people.xlsx").status_code,
    }

    assert statuses == {HTTPStatus.NOT_FOUND}


def test_the_list_of_people_leads_there(client: Client) -> None:
    assert FILE in words(client.get(f"{SITE}/people/"))
