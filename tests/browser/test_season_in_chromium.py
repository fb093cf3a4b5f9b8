"""One journey through a real browser, narrow and wide, and every main page before axe."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from orchard.models import Task
from scheduling.models import Roster, Session, SignUp
from tests.signed_in import COORDINATOR, GUARDIAN, LIAISON, S02, SEASON, SITE, VOLUNTEER

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

S05 = f"{SEASON}/sessions/S05"

# WCAG 2.2 at levels A and AA: https://www.w3.org/TR/WCAG22/, as axe-core tags its rules.
WCAG_22_AA = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.mark.parametrize("width_px", [360, 1280])
def test_a_volunteer_signs_up_and_the_coordinator_rosters(
    watched: Page, site: str, sign_in: Callable[[str], None], width_px: int
) -> None:
    watched.set_viewport_size({"width": width_px, "height": 800})

    sign_in(VOLUNTEER)
    watched.goto(f"{site}{SITE}/sessions/")
    watched.locator(f'a[href="{S05}/"]').first.click()
    watched.get_by_role("button", name="Sign up").click()
    expect(watched.get_by_text("Signed up: Søren.")).to_be_visible()
    assert SignUp.objects.filter(session__code="S05", person__user__email=VOLUNTEER).exists()
    watched.goto(f"{site}{SITE}/my-sessions/")
    title = Session.objects.get(code="S05").title
    expect(watched.get_by_text(title).first).to_be_visible()
    watched.get_by_role("button", name="Sign out").click()

    sign_in(COORDINATOR)
    watched.goto(f"{site}{S02}/roster/")
    watched.get_by_role("button", name="Propose a roster").click()
    expect(watched.get_by_text("A draft roster is proposed.")).to_be_visible(timeout=30_000)
    expect(watched.get_by_text("Round 1, 09:50 to 10:20").first).to_be_visible()
    watched.get_by_role("button", name="Publish and send invites").click()
    expect(watched.get_by_text("Version 1 is published")).to_be_visible()
    assert Roster.objects.get(session__code="S02").state == Roster.State.PUBLISHED


PAGES = {
    VOLUNTEER: ["/", f"{SITE}/sessions/", f"{S02}/", f"{SITE}/my-sessions/", f"{SITE}/rule-book/"],
    GUARDIAN: [f"{S05}/"],
    COORDINATOR: [
        "/",
        f"{SITE}/plans/TY-27/",
        f"{SITE}/plans/TY-27/changes/",
        f"{SITE}/tasks/core/",
        f"{SEASON}/",
        f"{S02}/roster/",
    ],
    LIAISON: [
        f"{SITE}/classes/",
        f"{SITE}/classes/SLUICE-7/check/",
        f"{SITE}/classes/SLUICE-7/check/?session=S05&staff=2&checked_staff=1&age_10=22",
    ],
}


@pytest.mark.parametrize("who", sorted(PAGES))
def test_main_pages_pass_axe_and_fit_a_narrow_screen(
    watched: Page, site: str, sign_in: Callable[[str], None], who: str
) -> None:
    sign_in(who)
    if who == COORDINATOR:
        watched.goto(f"{site}{S02}/roster/")
        watched.get_by_role("button", name="Propose a roster").click()
        expect(watched.get_by_text("A draft roster is proposed.")).to_be_visible(timeout=30_000)

    found = {}
    for address in PAGES[who]:
        for width_px in (1280, 320):
            watched.set_viewport_size({"width": width_px, "height": 800})
            watched.goto(site + with_numbers(address))
            found[address, width_px] = (faults_of_axe(watched), overhang_px(watched))

    assert found == dict.fromkeys(found, ([], 0))


def test_the_pages_before_signing_in_pass_axe(watched: Page, site: str) -> None:
    found = {}
    for address in ("/", "/account/login/code/"):
        for width_px in (1280, 320):
            watched.set_viewport_size({"width": width_px, "height": 800})
            watched.goto(site + address)
            found[address, width_px] = (faults_of_axe(watched), overhang_px(watched))

    assert found == dict.fromkeys(found, ([], 0))


def with_numbers(address: str) -> str:
    """Return an address with the database's numbers in place of the names used above."""
    core = Task.objects.filter(kind="core").earliest("position").pk
    s05 = Session.objects.get(code="S05").pk
    return address.replace("tasks/core", f"tasks/{core}").replace("session=S05", f"session={s05}")


def faults_of_axe(page: Page) -> list[str]:
    """Return what axe finds against WCAG 2.2 AA: the rule and the places."""
    answer = Axe().run(page, options={"runOnly": {"type": "tag", "values": WCAG_22_AA}})
    assert answer.response["passes"], "axe judged nothing"
    return [
        f"{fault['id']}: {[node['html'][:120] for node in fault['nodes'][:3]]}"
        for fault in answer.response["violations"]
    ]


def overhang_px(page: Page) -> int:
    """Return how far the page can be scrolled sideways (WCAG 2.2, 1.4.10 Reflow: not at 320)."""
    width = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    return max(0, int(width))
