"""One journey through a real browser, narrow and wide: a volunteer signs up, a roster is made."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from scheduling.models import Roster, Session, SignUp
from tests.browser.looks import look_at
from tests.signed_in import COORDINATOR, S02, SEASON, SITE, VOLUNTEER

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

S05 = f"{SEASON}/sessions/S05"


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


def test_the_page_of_the_code_and_a_proposed_roster_pass_axe_and_fit(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    watched.goto(f"{site}/account/login/code/")
    watched.get_by_label("Email").fill(COORDINATOR)
    watched.get_by_role("button", name="Send me a code").click()
    expect(watched.get_by_role("heading", name="Enter your code")).to_be_visible()
    wrong = look_at(watched)
    watched.get_by_role("button", name="Use another address").click()
    sign_in(COORDINATOR)
    watched.goto(f"{site}{S02}/roster/")
    watched.get_by_role("button", name="Propose a roster").click()
    expect(watched.get_by_text("A draft roster is proposed.")).to_be_visible(timeout=30_000)
    wrong += look_at(watched)
    watched.goto(f"{site}{S02}/day-now/")

    assert wrong + look_at(watched) == []
