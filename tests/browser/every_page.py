"""Every page of the access matrix before axe and at 320 px: which, as whom, and how. No tests.

The rows of `tests.access_rows` are the register: a new address that is read is looked at
without anybody writing it down here. What needs a state of its own is looked at elsewhere,
and `ELSEWHERE` says where.
"""

import re
from collections.abc import Iterable

from django.test import Client
from django.urls import resolve
from playwright.sync_api import Browser, Page

from tests.access_rows import OPEN_ROWS, READ, SITE_ROWS, Row
from tests.browser.looks import look_at
from tests.project.test_access_matrix import World

FILE = re.compile(r"\.(pdf|ics|csv|xlsx|json|svg)(\?.*)?$")

ELSEWHERE = {
    "first_aid": "test_people_in_chromium",  # opens on the day alone
    "account_confirm_login_code": "test_season_in_chromium",
    "mfa_authenticate": "test_second_factor_in_chromium",
    "mfa_reauthenticate": "test_second_factor_in_chromium",
    "mfa_reauthenticate_webauthn": "test_second_factor_in_chromium",
    "mfa_deactivate_totp": "test_second_factor_in_chromium",
    "mfa_view_recovery_codes": "test_second_factor_in_chromium",
    "mfa_remove_webauthn": "test_second_factor_in_chromium",
}
"""Pages that the walk cannot open, with the file that looks at them."""

NO_PAGE = {"account_login", "site_start", "mail_stop", "feed_file"}
"""Addresses of no site that lead on, are a file, or open by a signature; `site_start` by a role."""

MORE = (
    ("C", "/sites/start/"),
    ("C", "{site}/propose-pockets/?area=C&count=2&pocket_m2=20&rate=rule"),
    ("C", "{site}/methods/fit/?hours=100&money=2000"),
    ("C", "{site}/rule-sets/NSPCC-2023/1/change/?figure=supervision.least_adults&value=9"),
    ("C", "{site}/people/rules/?age=16"),
    ("L", "{site}/classes/SLUICE-7/check/?{numbers}"),
)
"""States of a page that its row does not show."""


def list_looks(package: str) -> list[tuple[str, Row]]:
    """Return the rows of one package that are pages, each with the letters that look at it.

    The coordinator sees most of a page, the guardian most of what is for those who come;
    where neither is let in, whoever stands first in the row looks.
    """
    found = []
    for row in SITE_ROWS:
        if row.answer != READ or FILE.search(row.tail) or row.name in ELSEWHERE:
            continue
        letters = [letter for letter in "CG" if letter in row.who] or list(row.who[:1])
        found += [(letter, row) for letter in letters]
    return [look for look in found if package_of(look[1]) == package]


def package_of(row: Row) -> str:
    """Return the package whose view answers a row's address."""
    tail = re.sub(r"\{(s02)\}", "seasons/2027/sessions/S02", row.tail).partition("?")[0]
    tail = tail.replace("{upload}", "0" * 8 + "-0000" * 3 + "-" + "0" * 12)
    tail = re.sub(r"\{(line|tag|finding)\}", "x", tail)
    view = resolve(f"/site/{re.sub(r'{[a-z_]+}', '1', tail)}").func
    return view.__module__.partition(".")[0]


def walk(browser: Browser, site: str, world: World, looks: Iterable[tuple[str, str]]) -> list[str]:
    """Open addresses as the letters that look at them; return what is wrong with any."""
    wrong: list[str] = []
    pages: dict[str, Page] = {}
    for letter, address in looks:
        if letter not in pages:
            pages[letter] = open_page(browser, site, world.clients.get(letter), wrong)
        page = pages[letter]
        answer = page.goto(f"{site}{address}")
        kind = answer.headers["content-type"] if answer else ""
        if answer is None or answer.status != READ or not kind.startswith("text/html"):
            wrong.append(f"{address} as {letter}: {answer and answer.status} {kind}")
        else:
            wrong += look_at(page)
    for page in pages.values():
        page.context.close()
    return wrong


def open_page(browser: Browser, site: str, client: Client | None, wrong: list[str]) -> Page:
    """Return a page of a browser of its own, signed in as a client; errors are noted in `wrong`."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    if client is not None:
        key = client.cookies["sessionid"].value
        context.add_cookies([{"name": "sessionid", "value": key, "url": site}])
    page = context.new_page()
    page.on("pageerror", lambda error: wrong.append(f"{page.url}: {error}"))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    return page


def open_looks() -> list[tuple[str, str]]:
    """Return the addresses of no site, as a stranger ("-") and as the coordinator."""
    rows = [row for row in OPEN_ROWS if row.name not in ELSEWHERE and row.name not in NO_PAGE]
    found = [("-", row.address) for row in rows if row.stranger == READ]
    return found + [("C", row.address) for row in rows if row.known == READ]
