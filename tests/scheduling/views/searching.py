"""What tests of searches share: reading a page, being the worker, pressing stop midway."""

from collections.abc import Callable
from http import HTTPStatus

import pytest
from django.test import Client

from scheduling.domain.planner.progress import Progress
from scheduling.models import SearchRun
from scheduling.services.searches import RunWatch, carry_out, claim_run
from tests.signed_in import NOW


def text_of(client: Client, address: str, **headers: str) -> str:
    answer = client.get(address, **headers)
    assert answer.status_code == HTTPStatus.OK
    return answer.content.decode()


def carry_out_as_worker() -> SearchRun:
    run = SearchRun.objects.get(state="waiting")
    assert claim_run(run_id=run.pk, worker="w1", at=NOW)
    carry_out(run_id=run.pk, now=lambda: NOW)
    run.refresh_from_db()
    return run


def press_when_heard(
    monkeypatch: pytest.MonkeyPatch, times: int, press: Callable[[], object]
) -> None:
    """Press once the search has told of its progress so many times."""
    heard: list[Progress] = []
    real = RunWatch.on_progress

    def listen(watch: RunWatch, progress: Progress) -> None:
        heard.append(progress)
        real(watch, progress)
        if len(heard) == times:
            press()
            watch._last = None  # look at once, not within a second

    monkeypatch.setattr(RunWatch, "on_progress", listen)
