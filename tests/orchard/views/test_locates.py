"""Locates on record: by the rule, by the ticket, and boring that lacks one."""

from datetime import date
from html import unescape

import pytest
from django.test import Client

from orchard.models import Locate
from tests.signed_in import COORDINATOR, SITE, SignIn

LOCATES = f"{SITE}/locates"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(answer: object) -> str:
    return unescape(answer.content.decode())


def test_ontarios_sixty_days_are_worked_out_from_the_day_of_marking(client: Client) -> None:
    """Ontario: 5 business days' notice, 60 days (notification service, July 2024)."""
    given = {
        "number": "ON-1",
        "jurisdiction": "ON",
        "areas": ["A"],
        "requested_on": "2027-01-18",  # a Monday: dig from the next Monday on
        "marked_on": "2027-01-21",
    }

    text = read(client.post(f"{LOCATES}/add/", given, follow=True))

    row = Locate.objects.get(number="ON-1")
    assert (row.first_day, row.last_day) == (date(2027, 1, 25), date(2027, 3, 22))
    assert row.last_day.toordinal() - date(2027, 1, 21).toordinal() == 60
    assert "Last checked on" in text
    assert "nobody has looked" in text


def test_the_ticket_and_the_rule_bind_both(client: Client) -> None:
    """Nebraska: 17 calendar days after the start, 1 May -> 18 May; the ticket may be shorter."""
    given = {
        "number": "NE-1",
        "jurisdiction": "NE",
        "areas": ["B"],
        "requested_on": "2027-04-28",
        "start_on": "2027-05-01",
        "marked_on": "2027-04-30",
    }
    client.post(f"{LOCATES}/add/", given)
    row = Locate.objects.get(number="NE-1")
    assert (row.first_day, row.last_day) == (date(2027, 5, 1), date(2027, 5, 18))

    client.post(f"{LOCATES}/{row.pk}/", {**given, "valid_until": "2027-05-10"})
    row.refresh_from_db()
    assert row.last_day == date(2027, 5, 10)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({}, "Nobody has said how long this locate holds"),
        ({"valid_until": "2027-01-01"}, "Check the day of the call"),
        ({"valid_until": "2027-03-01", "private_lines_checked_by": "M."}, "they were looked for"),
        ({"valid_until": "2027-03-01", "areas": []}, "required"),
        ({"valid_until": "2027-06-06", "number": "TY-2027-014"}, "TY-2027-014 already"),
    ],
)
def test_a_locate_that_cannot_be_is_a_sentence(
    client: Client, change: dict[str, object], sentence: str
) -> None:
    given = {"number": "X-1", "areas": ["A"], "requested_on": "2027-01-18", **change}

    assert sentence in read(client.post(f"{LOCATES}/add/", given))
    assert not Locate.objects.filter(number="X-1").exists()


def test_boring_without_a_locate_is_told_with_what_to_do(client: Client) -> None:
    """On 1 February 2027 the demo's first locate is still to begin; without it none is known."""
    before = read(client.get(f"{LOCATES}/"))
    assert "open boring tasks lack a locate today" in before
    assert "TY-2027-014 holds from 2027-03-08" in before

    Locate.objects.all().delete()
    assert "none was ever asked for; ask the one-call service" in read(client.get(f"{LOCATES}/"))
    client.post(
        f"{LOCATES}/add/",
        {
            "number": "NOW",
            "areas": ["A", "B", "C", "D"],
            "requested_on": "2027-01-11",
            "marked_on": "2027-01-20",
            "valid_until": "2027-02-20",
            "private_lines_checked_on": "2027-01-20",
            "private_lines_checked_by": "M. Vane",
        },
    )
    after = read(client.get(f"{LOCATES}/"))
    assert "every open boring task lies in a locate that holds today" in after
    assert "looked for on 20 January 2027 by M. Vane" in after


def test_marks_lost_end_a_locate(client: Client) -> None:
    row = Locate.objects.get(number="TY-2027-014")
    Locate.objects.filter(pk=row.pk).update(first_day=date(2027, 1, 1))
    assert "lies in a locate that holds today" in read(client.get(f"{LOCATES}/"))

    Locate.objects.filter(pk=row.pk).update(marks_lost_on=date(2027, 1, 30))

    assert "open boring tasks lack a locate today" in read(client.get(f"{LOCATES}/"))
