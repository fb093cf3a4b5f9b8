"""A roster repaired on the day and a better day asked for, in a real browser, wide and narrow."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from scheduling.models import Person, Roster, RosterPlace, SignUp
from scheduling.queries import runs
from tests.browser.looks import look_at
from tests.signed_in import COORDINATOR, S02

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def propose(watched: Page, site: str) -> None:
    watched.goto(f"{site}{S02}/roster/")
    watched.get_by_role("button", name="Propose a roster").click()
    expect(watched.get_by_text("A draft roster is proposed.")).to_be_visible(timeout=30_000)


def test_somebody_stays_away_and_the_repair_is_seen_and_kept(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    sign_in(COORDINATOR)
    propose(watched, site)
    gone = (
        RosterPlace.objects.filter(roster__session__code="S02", person__isnull=False)
        .order_by("round", "task", "pk")
        .first()
    )
    assert gone is not None

    watched.get_by_role("link", name="Repair the roster").click()
    pages = {"asked": look_at(watched)}
    watched.locator(f"#id_left_{gone.person_id}").select_option("did not come")
    watched.get_by_label("Which round comes next").select_option("round 2, round 1 over")
    watched.locator("#id_dropped_0").check()
    watched.get_by_role("button", name="Show a repair").click()
    expect(watched.get_by_text("Round 1 cannot be dropped").first).to_be_visible()
    pages["refused"] = look_at(watched)

    watched.locator("#id_dropped_0").uncheck()
    watched.get_by_label("Which round comes next").select_option("round 1, nothing has begun")
    watched.locator("#id_dropped_1").check()
    watched.get_by_role("button", name="Show a repair").click()
    expect(watched.get_by_text("Was told").first).to_be_attached(timeout=30_000)
    watched.get_by_text("Where everybody would be").first.click()
    pages["answered"] = look_at(watched)
    watched.get_by_role("button", name="Keep as a new draft").click()
    expect(watched.get_by_text("Kept as draft version 2.")).to_be_visible()

    assert pages == {name: [] for name in pages}
    kept = Roster.objects.get(session__code="S02", version=2)
    assert kept.status == "repaired"
    assert not kept.places.filter(person=gone.person_id).exists()
    assert not kept.places.filter(round=1).exists()


def test_a_better_day_is_asked_for(
    watched: Page, site: str, sign_in: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(runs.USUAL_SECONDS, "costs", 5.0)
    monkeypatch.setitem(runs.USUAL_SECONDS, "spare", 3.0)
    assert Person.objects.filter(skills__skill="lead").count() > 1
    sign_in(COORDINATOR)
    propose(watched, site)

    watched.get_by_role("link", name="What would make the day better").click()
    pages = {"asked": look_at(watched)}
    watched.get_by_role("button", name="Weigh one more of each").click()
    # Whether anything is left to weigh depends on how much the roster gets done.
    expect(watched.locator("#costs")).to_be_visible(timeout=60_000)
    pages["weighed"] = look_at(watched)
    watched.get_by_role("button", name="Search with spare hands").click()
    expect(watched.locator("#spare")).to_be_visible(timeout=60_000)
    pages["spare"] = look_at(watched)

    assert pages == {name: [] for name in pages}


def test_a_longer_repair_takes_somebody_in_and_the_chance_is_kept(
    watched: Page, site: str, sign_in: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(runs.USUAL_SECONDS, "repair", 3.0)
    monkeypatch.setitem(runs.USUAL_SECONDS, "chance", 4.0)
    coming = SignUp.objects.filter(session__code="S02").values("person")
    came = Person.objects.filter(birth_year__lt=1990, restrictions=[]).exclude(pk__in=coming)[0]
    sign_in(COORDINATOR)
    propose(watched, site)

    watched.goto(f"{site}{S02}/roster/repair/")
    watched.locator("#id_came_1").select_option(str(came.pk))
    watched.get_by_text("Search longer for a better repair").click()
    pages = {"asked": look_at(watched)}
    watched.get_by_role("button", name="Search longer").click()
    expect(watched.get_by_text("is taken in").first).to_be_visible(timeout=60_000)
    pages["repaired"] = look_at(watched)
    watched.reload()
    expect(watched.get_by_text("is taken in").first).to_be_visible()
    watched.goto(f"{site}{S02}/roster/chance/")
    watched.get_by_role("button", name="Estimate the chance").click()
    expect(watched.locator("#answer")).to_be_visible(timeout=60_000)
    pages["chance"] = look_at(watched)

    assert pages == {name: [] for name in pages}
