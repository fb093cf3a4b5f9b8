"""A problem document fetched, solved and loaded back through a real browser, on a phone."""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from scheduling.domain.documents.answers import answer_day
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.writing import write_day_roster
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.models import Roster
from tests.browser.looks import look_at
from tests.signed_in import COORDINATOR, S02, SEASON

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_an_answer_is_loaded_seen_and_kept(
    watched: Page, site: str, sign_in: Callable[[str], None], tmp_path: Path
) -> None:
    sign_in(COORDINATOR)
    watched.goto(f"{site}{S02}/roster/document/")
    pages = {"empty": look_at(watched)}

    with watched.expect_download() as download:
        watched.get_by_role("link", name="Problem document").click()
    case = build_day(read_day_problem(Path(download.value.path()).read_text()))
    result = solve_roster(case.problem, case.conditions, Limits(seconds=4))
    file = tmp_path / "answer.json"
    file.write_text(write_day_roster(answer_day(case, result, 4.0)))

    watched.get_by_label("Answer document").set_input_files(file)
    watched.get_by_role("button", name="Show what the rules say of it").click()
    expect(watched.get_by_text("The answer, not kept yet")).to_be_visible()
    assert not Roster.objects.exists()
    pages["shown"] = look_at(watched)
    watched.get_by_role("button", name="Keep as draft roster").click()
    expect(watched.get_by_text("Kept as draft version 1.")).to_be_visible()

    watched.goto(f"{site}{SEASON}/document/")
    pages["season"] = look_at(watched)
    assert pages == {name: [] for name in pages}
    assert Roster.objects.get(session__code="S02").status == "loaded"
