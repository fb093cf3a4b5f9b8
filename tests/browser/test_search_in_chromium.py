"""A search watched in a real browser: it moves by itself, survives a reload, stops when told.

The engine is real; what it says on the way is held back, so that the pages can be
looked at between two steps. A thread stands in for the worker's process, because
the browser tests live in a time of their own.
"""

from collections.abc import Callable, Iterator
from datetime import timedelta
from threading import Event, Thread
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.models import (
    PlannedWork,
    Roster,
    SearchRun,
    SearchWorker,
    SeasonPlan,
    Session,
)
from scheduling.queries import runs
from scheduling.services.searches import carry_out, claim_run
from scheduling.services.seasons import plan_season
from tests.browser.looks import look_at
from tests.signed_in import COORDINATOR, NOW, S02, SEASON

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ROSTER = f"{S02}/roster/"
LONG_MS = 15_000  # pages look every two seconds; the machine is shared


class HeldSearch:
    """A search whose steps are let go one at a time; it ends when it is stopped."""

    def __init__(self) -> None:
        self.further = Event()
        self._thread = Thread(target=self._work, name="worker")

    def solve(self, problem: Any, conditions: Any, limits: Limits, **calls: Any) -> Any:
        """Tell of two steps, wait to be stopped, then answer with the engine's own roster."""
        calls["on_progress"](Progress("other work done", 50, 100, 0.5))
        while not self.further.wait(0.05):
            calls["should_stop"]()
        calls["on_progress"](Progress("comfort", 30, 40, 1.5))
        while not calls["should_stop"]():
            calls["on_progress"](Progress("comfort", 30, 40, 1.5))
            Event().wait(0.05)
        return solve_roster(problem, conditions, Limits(seconds=2))

    def begin(self) -> None:
        """Take the waiting search up, as a worker does."""
        self._thread.start()

    def end(self) -> None:
        """Let everything go and wait for the end."""
        SearchRun.objects.filter(state="running").update(state="stopping")
        self.further.set()
        if self._thread.ident:
            self._thread.join(timeout=30)

    def _work(self) -> None:
        try:
            run = SearchRun.objects.get(state="waiting")
            assert claim_run(run_id=run.pk, worker="w1", at=timezone.now())
            carry_out(run_id=run.pk, now=timezone.now)
        finally:
            connection.close()


@pytest.fixture
def held(site: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[HeldSearch]:
    """A living worker, and a search that does only what the test lets it do."""
    SearchWorker.objects.create(name="w1", started_at=NOW, beat_at=NOW + timedelta(days=1))
    search = HeldSearch()
    monkeypatch.setattr("scheduling.domain.planner.day.solve_roster", search.solve)
    yield search
    search.end()


def begin(page: Page, site: str) -> None:
    page.goto(f"{site}{ROSTER}")
    page.get_by_label("Search for at most").fill("120")
    page.get_by_role("button", name="Propose a roster").click()
    expect(page.get_by_role("heading", name="A roster is being searched")).to_be_visible()


@pytest.mark.parametrize("width_px", [320, 1280])
def test_progress_moves_by_itself_and_a_stop_keeps_the_best_so_far(
    watched: Page, site: str, sign_in: Callable[[str], None], held: HeldSearch, width_px: int
) -> None:
    watched.set_viewport_size({"width": width_px, "height": 800})
    sign_in(COORDINATOR)
    begin(watched, site)
    live = watched.locator("#search-live")
    expect(live.get_by_text("waiting")).to_be_visible()

    held.begin()
    expect(live.get_by_text("at most 50.0 % below the best possible")).to_be_visible(
        timeout=LONG_MS
    )
    held.further.set()
    expect(live.get_by_text("at most 25.0 % below the best possible")).to_be_visible(
        timeout=LONG_MS
    )
    expect(watched.locator("#search-said")).to_contain_text("Fair and comfortable crews")
    assert look_at(watched) == []

    watched.reload()
    expect(live.get_by_text("at most 25.0 % below the best possible")).to_be_visible()
    watched.get_by_role("button", name="Stop and keep the best so far").click()
    expect(watched.get_by_text("A draft roster is proposed.")).to_be_visible(timeout=LONG_MS)
    assert Roster.objects.get(session__code="S02").state == Roster.State.DRAFT
    expect(watched.locator("#search-live")).to_have_count(0)


def test_without_script_the_same_is_seen_by_a_link_and_stopped_by_a_button(
    watched: Page, site: str, sign_in: Callable[[str], None], held: HeldSearch, browser: Browser
) -> None:
    sign_in(COORDINATOR)
    signed = watched.context.storage_state()
    watched.goto("about:blank")
    context = browser.new_context(java_script_enabled=False, storage_state=signed)
    page = context.new_page()

    begin(page, site)
    held.begin()
    held.further.set()
    moved = page.locator("#search-live").get_by_text("at most 25.0 % below the best possible")
    for _ in range(40):
        page.get_by_role("link", name="See how far it is now").click()
        if moved.is_visible():
            break
        page.wait_for_timeout(250)
    expect(moved).to_be_visible()

    page.get_by_role("button", name="Stop and keep the best so far").click()
    held.end()
    page.goto(f"{site}{ROSTER}")
    expect(page.get_by_text("A draft roster is proposed.")).to_be_visible()
    context.close()


def test_fixed_places_and_a_proposed_plan_pass_axe_and_fit_a_narrow_screen(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    sign_in(COORDINATOR)
    fixed = f"{site}{ROSTER}fixed/"
    for where in (None, 1):
        watched.goto(fixed)
        watched.get_by_label("Who").select_option(index=1 if where else 2)
        if where:
            watched.get_by_label("Where").select_option(index=where)
        watched.get_by_role("button", name="Fix this place").click()
        expect(watched.get_by_text("place fixed.")).to_be_visible()
    propose_another_plan()

    wrong = []
    for address in (fixed, f"{site}{SEASON}/", f"{site}{ROSTER}"):
        watched.goto(address)
        wrong += look_at(watched)

    assert wrong == []
    watched.goto(f"{site}{SEASON}/")
    expect(watched.get_by_role("heading", name="A new plan is proposed")).to_be_visible()


def propose_another_plan() -> None:
    current = SeasonPlan.objects.get(current=True)
    beside = SeasonPlan.objects.create(
        season=current.season, made_at=NOW, status="good", seconds=1, seed=1, engine="1",
        value=950, bound=1000, current=False, proposed=True,
    )  # fmt: skip
    for work in current.work.all():
        PlannedWork.objects.create(
            season_plan=beside, session=Session.objects.get(code="S05"), task=work.task,
            units=work.units,
        )  # fmt: skip


def test_changes_that_make_room_pass_axe_while_they_wait_and_when_they_are_found(
    watched: Page, site: str, sign_in: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(runs.USUAL_SECONDS, runs.CHANGES, 3.0)
    season = Session.objects.get(code="S02").season
    plan_season(season_id=season.pk, at=NOW, limits=Limits(seconds=3))
    sign_in(COORDINATOR)
    now = timezone.now()
    worker = SearchWorker.objects.create(
        name="w1", started_at=now, beat_at=now + timedelta(minutes=5)
    )

    watched.goto(f"{site}{SEASON}/changes/")
    watched.get_by_role("button", name="Try the changes").click()
    under_way = watched.get_by_role("heading", name="Changes that make room are being tried")
    expect(under_way).to_be_visible()
    wrong = look_at(watched)
    worker.delete()
    watched.reload()
    watched.get_by_role("button", name="Search here for 3 s").click()
    expect(watched.locator("#found")).to_be_visible(timeout=LONG_MS)
    wrong += look_at(watched)

    assert wrong == []
    assert SearchRun.objects.get().answer["told"]["tried"] > 0
