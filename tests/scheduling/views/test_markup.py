"""Every page obeys the content policy and the same few rules of markup."""

import re

import pytest

from orchard.models import Task
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LIAISON,
    S02,
    SEASON,
    SITE,
    VOLUNTEER,
    SignIn,
)

PAGES = [
    (COORDINATOR, "/"),
    (COORDINATOR, f"{SITE}/plans/TY-27/"),
    (COORDINATOR, f"{SITE}/plans/TY-27/changes/"),
    (COORDINATOR, f"{SITE}/tasks/first-core/"),
    (COORDINATOR, f"{SEASON}/"),
    (COORDINATOR, f"{S02}/roster/"),
    (VOLUNTEER, f"{SITE}/sessions/"),
    (GUARDIAN, f"{S02}/"),
    (GUARDIAN, f"{SITE}/my-sessions/"),
    (LIAISON, f"{SITE}/classes/"),
    (LIAISON, f"{SITE}/classes/SLUICE-7/check/"),
    (VOLUNTEER, f"{SITE}/rule-book/"),
    (COORDINATOR, f"{SITE}/rule-sets/"),
    (COORDINATOR, f"{SITE}/rule-sets/SITE-1/1/"),
    (COORDINATOR, f"{SITE}/rule-sets/SITE-1/1/change/?figure=company.adults_in_sight"),
    (COORDINATOR, f"{S02}/weather/"),
    (COORDINATOR, f"{S02}/ground/"),
    (COORDINATOR, f"{S02}/roster/document/"),
    (COORDINATOR, f"{SEASON}/changes/"),
    (COORDINATOR, f"{S02}/roster/chance/"),
    (COORDINATOR, f"{S02}/roster/better/"),
    (COORDINATOR, f"{SEASON}/document/"),
    (COORDINATOR, f"{SEASON}/locates/"),
    (COORDINATOR, f"{SITE}/people/"),
    (COORDINATOR, f"{SITE}/mail/"),
    (COORDINATOR, f"{S02}/papers/"),
    (GUARDIAN, f"{SITE}/my-people/"),
    (GUARDIAN, f"{SITE}/calendar/"),
    (VOLUNTEER, f"{SITE}/not-a-page/"),
]


@pytest.mark.parametrize(("who", "address"), PAGES)
def test_a_page_holds_nothing_the_content_policy_would_refuse(
    sign_in: SignIn, who: str, address: str
) -> None:
    core = Task.objects.filter(kind="core").order_by("position").values_list("pk", flat=True)[0]

    answer = sign_in(who).get(address.replace("first-core", str(core)))
    text = answer.content.decode()

    assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
    assert "unsafe-inline" not in answer.headers["Content-Security-Policy"]
    assert not re.search(r"\sstyle\s*=", text)
    assert "<style" not in text
    assert "<script" not in text
    assert not re.search(r"\son[a-z]+\s*=", text)
    assert not re.search(r"(src|href)=\"(https?:)?//", text)


@pytest.mark.parametrize(("who", "address"), PAGES)
def test_a_page_has_one_heading_a_title_a_language_and_a_way_past_the_head(
    sign_in: SignIn, who: str, address: str
) -> None:
    core = Task.objects.filter(kind="core").order_by("position").values_list("pk", flat=True)[0]

    text = sign_in(who).get(address.replace("first-core", str(core))).content.decode()

    assert text.count("<h1") == 1
    assert '<html lang="en">' in text
    assert re.search(r"<title>[^<]+</title>", text)
    assert '<a class="skip" href="#content">' in text
    assert text.count('class="btn btn-primary"') <= 1
    identifiers = re.findall(r'\sid="([^"]+)"', text)
    assert len(identifiers) == len(set(identifiers))


@pytest.mark.parametrize(("who", "address"), PAGES)
def test_every_table_has_a_caption_and_every_cell_a_label_for_the_phone(
    sign_in: SignIn, who: str, address: str
) -> None:
    core = Task.objects.filter(kind="core").order_by("position").values_list("pk", flat=True)[0]

    text = sign_in(who).get(address.replace("first-core", str(core))).content.decode()

    assert text.count("<table") == text.count("<caption")
    cells = re.findall(r"<td[^>]*>(?!</td>)", text)
    unlabelled = [cell for cell in cells if "data-label" not in cell and "in-words" not in cell]
    assert unlabelled == []
