"""A headless Chromium before the demo season, and what it must never do."""

import os
import re
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.core.cache import cache
from playwright.sync_api import Page
from pytest_django import Settings

from tests.signed_in import NOW


@pytest.fixture(scope="session", autouse=True)
def database_beside_the_browser() -> None:
    """Let tests use the database while Playwright's event loop runs in their thread."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Drive the system's Chromium; the flags are for containers."""
    program = shutil.which("chromium")
    assert program, "Install Debian's chromium; .ci/run does."
    flags = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu"]
    return {**browser_type_launch_args, "executable_path": program, "args": flags}


@pytest.fixture
def site(demo_season: None, live_server: Any, settings: Settings, now: datetime) -> Iterator[str]:
    """Serve the demo season with work planned for S02, and return the server's address."""
    from orchard.models import Task
    from scheduling.models import PlannedWork, SeasonPlan, Session

    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    settings.ROSTER_SECONDS = 2
    cache.clear()
    session = Session.objects.get(code="S02")
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=now, status="good", seconds=1, seed=1, engine="by hand"
    )
    for key in ("GRO-A-1", "RNG-A-1", "COR-P4-1", "BKF-P4-1"):
        task = Task.objects.get(key=key)
        PlannedWork.objects.create(
            season_plan=plan, session=session, task=task, units=min(task.units, 20), required=True
        )
    with time_machine.travel(NOW):
        yield live_server.url


@pytest.fixture
def watched(page: Page, site: str) -> Iterator[Page]:
    """Hand out a page; afterwards no error was told and nothing asked for beyond the server."""
    errors: list[str] = []
    strays: list[str] = []

    def note_request(request: Any) -> None:
        if not request.url.startswith((site, "data:")):
            strays.append(request.url)

    def note_answer(answer: Any) -> None:
        if answer.status >= 400:
            errors.append(f"{answer.status} for {answer.url}")

    def note_failure(request: Any) -> None:
        if request.failure != "net::ERR_ABORTED":  # left with its page, as a search's question is
            errors.append(f"failed: {request.url}, {request.failure}")

    page.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("requestfailed", note_failure)
    page.on("request", note_request)
    page.on("response", note_answer)
    yield page
    assert errors == []
    assert strays == []


@pytest.fixture
def sign_in(watched: Page, site: str) -> Callable[[str], None]:
    """Return what signs an address in, with the code that was mailed to it."""

    def signed_in(email: str) -> None:
        watched.goto(f"{site}/account/login/code/")
        watched.get_by_label("Email").fill(email)
        watched.get_by_role("button", name="Send me a code").click()
        watched.get_by_role("heading", name="Enter your code").wait_for()
        code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
        assert code is not None
        watched.get_by_label("Code").fill(code[1])
        watched.get_by_role("button", name="Sign in").click()
        watched.get_by_role("button", name="Sign out").wait_for()

    return signed_in
