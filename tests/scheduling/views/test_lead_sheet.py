"""Who asked to be heard stands on the lead's own sheet and on the day's page, and nowhere else."""

import re
from html import unescape
from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from scheduling.models import Person, Session, SignUp
from tests.project.test_access_matrix import publish_a_roster
from tests.signed_in import COORDINATOR, GUARDIAN, LEAD, NOW, S02, VOLUNTEER, SignIn

SHEET = f"{S02}/papers/lead-a4.pdf"
PAPER = re.compile(r'href="([^"]+\.pdf)"')


def come(code: str, restrictions: list[str], **more: str) -> Person:
    person = Person.objects.get(code=code)
    person.restrictions = restrictions
    for name, value in more.items():
        setattr(person, name, value)
    person.save()
    SignUp.objects.update_or_create(
        session=Session.objects.get(code="S02"),
        person=person,
        defaults={"state": SignUp.State.CONFIRMED, "at": NOW},
    )
    return person


@pytest.fixture
def lead(sign_in: SignIn) -> Client:
    """The lead of a day to which a mother, her child and another adult come."""
    SignUp.objects.filter(session__code="S02").delete()
    come("P01", [])
    come("P02", ["tell the lead", "no lifting"])
    come("P41", ["tell the lead"])  # Minh, 15, whose guardian is P02 Hạnh
    come("P06", ["no kneeling"])
    publish_a_roster()
    return sign_in(LEAD)


def read_paper(client: Client, address: str = SHEET) -> str:
    answer = client.get(address)
    assert answer.headers["Content-Type"] == "application/pdf"
    pages = PdfReader(BytesIO(answer.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_leads_sheet_names_them_and_whom_to_ask_and_not_why(lead: Client) -> None:
    text = read_paper(lead)

    assert "Hạnh N. themselves" in text
    assert "Minh Hạnh N." in text
    assert "For the session lead alone" in text
    assert "write nothing down" in text
    assert "Søren" not in text.partition("To be heard")[2]
    for word in ("lifting", "kneeling", "Nguyễn"):
        assert word not in text


def test_no_other_paper_says_who_is_to_be_heard(lead: Client) -> None:
    """What hangs in the shed and goes from hand to hand has no list of them."""
    page = lead.get(f"{S02}/papers/").content.decode()
    others = {
        address
        for address in PAPER.findall(page)
        if address != SHEET and address.endswith("a4.pdf")
    }
    assert len(others) > 8
    for address in sorted(others):
        text = read_paper(lead, address)
        assert "to be heard" not in text.lower(), address
        assert "tell the lead" not in text.lower(), address


def test_the_days_page_tells_the_lead(lead: Client, sign_in: SignIn) -> None:
    page = unescape(lead.get(f"{S02}/day-now/").content.decode())

    assert "To be heard before the start" in page
    assert "<bdi>Minh</bdi>: ask <bdi>Hạnh N.</bdi>" in page
    for who in (VOLUNTEER, GUARDIAN):
        client = sign_in(who)
        assert client.get(SHEET).status_code == 404
        assert client.get(f"{S02}/day-now/").status_code == 404
        assert "To be heard" not in client.get(f"{S02}/").content.decode()
    assert "Minh" in read_paper(sign_in(COORDINATOR))


def test_where_nobody_asked_the_sheet_says_so(lead: Client) -> None:
    Person.objects.update(restrictions=[])

    assert "Nobody asked to be heard" in read_paper(lead)
    assert "To be heard" not in lead.get(f"{S02}/day-now/").content.decode()


def test_names_of_any_kind_stand_on_it(lead: Client) -> None:
    come("P02", ["tell the lead"], first_name='=SUM(A1) "O’Neill" <b>', family_name="")
    come("P06", ["tell the lead"], first_name="x" * 300, family_name="")

    text = read_paper(lead)
    assert '=SUM(A1) "O’Neill" <b>' in text
    assert text.replace(" ", "").count("x") >= 120
