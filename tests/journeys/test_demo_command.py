"""The demo: an account with figures, whole files, and the same again however it broke off."""

import os
import re
import signal
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from io import BytesIO, StringIO
from pathlib import Path

import pytest
import vobject
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from orchard.models import Plan, Site, Task
from orchard.services.import_ground import import_ground
from orchard.services.tasks import publish_tasks
from scheduling.models import InviteState, Message, Roster, SeasonPlan, Session, SignUp
from scheduling.services.import_season import find_next_year, import_folder
from tests.conftest import FIXTURES
from tests.signed_in import NOW

ROOT = FIXTURES.parent


def run(output: Path, *, seconds: float = 2) -> str:
    """Run the demo on the test database and return its account, as one line of words."""
    told = StringIO()
    limits = {"season_seconds": seconds, "roster_seconds": seconds}
    call_command("demo", no_serve=True, output=output, stdout=told, **limits)
    return " ".join(told.getvalue().split())


def everything() -> dict[str, list[dict[str, object]]]:
    kinds = (Site, Plan, Task, SeasonPlan, Roster, InviteState, Message, SignUp, Session)
    return {kind.__name__: list(kind.objects.order_by("pk").values()) for kind in kinds}


def read_pdf(path: Path) -> str:
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(path.read_bytes())).pages)


@pytest.mark.usefixtures("db", "before_the_season")
def test_the_account_holds_the_seasons_figures_and_running_again_keeps_everything(
    tmp_path: Path,
) -> None:
    account = run(tmp_path)

    the_figures_are_those_of_the_database(account)
    the_files_are_whole(tmp_path)
    kept = everything()
    files = {path: path.read_bytes() for path in sorted(tmp_path.rglob("*")) if path.is_file()}
    crashed = tmp_path / "2027-S01-day-pack-a4.pdf"
    crashed.write_bytes(b"%PDF-1.4 half of a pa")

    again = run(tmp_path)

    assert everything() == kept
    assert "0 entries added" in again or "were there already" in again
    assert "No work changed since it was planned; the plan stands." in again
    assert "The published roster still holds; it is kept." in again
    assert "0 invites put in the outbox" in again
    assert {p: p.read_bytes() for p in sorted(tmp_path.rglob("*")) if p.is_file()} == files
    a_folder_that_cannot_be_written_is_named(tmp_path / "2027-S01.ics")


def a_folder_that_cannot_be_written_is_named(file: Path) -> None:
    with pytest.raises(CommandError) as refused:
        run(file)
    assert str(file) in str(refused.value)
    assert "Choose a folder that can be written with --output DIR." in str(refused.value)


def the_figures_are_those_of_the_database(account: str) -> None:
    tasks = Task.objects.all()
    holes = sum(task.units for task in tasks.filter(kind="core"))
    hours = sum(tasks.values_list("mean_person_min", flat=True)) / 60
    coming = SignUp.objects.filter(session__code="S01").count()
    assert "36 trees" in account
    assert f"become {len(tasks)} tasks with {holes} core holes" in account
    assert f"about {hours:.0f} person-hours" in account
    for session in Session.objects.all():
        assert f"{session.code} " in account
    assert f"{coming} people from " in account
    assert "The rule book blocks nothing in it." in account
    assert f"{Message.objects.count()} invites put in the outbox" in account
    for step in range(1, 7):
        assert re.search(rf"\b{step} The ", account) or re.search(rf"\b{step} Papers", account)


def the_files_are_whole(folder: Path) -> None:
    for name in ("2027-S01-day-pack-a4.pdf", "2027-S01-day-pack-letter.pdf"):
        assert Session.objects.get(code="S01").title in " ".join(read_pdf(folder / name).split())
    invites = sorted((folder / "invites").glob("2027-S01-*.ics"))
    assert len(invites) == InviteState.objects.count()
    for path in [*invites, folder / "2027-S01.ics"]:
        event = vobject.readOne(path.read_text(encoding="utf-8")).vevent
        assert event.dtstart.value == Session.objects.get(code="S01").starts_at
    assert not list(folder.rglob(".*"))


@pytest.mark.usefixtures("db", "before_the_season")
def test_a_run_that_broke_off_after_the_ground_is_taken_up(tmp_path: Path) -> None:
    import_ground(FIXTURES, at=NOW)
    publish_tasks(plan_id=Plan.objects.get().pk, on=NOW.date())

    account = run(tmp_path, seconds=1)

    the_figures_are_those_of_the_database(account)
    assert SeasonPlan.objects.filter(current=True).count() == 1
    assert Roster.objects.filter(state=Roster.State.PUBLISHED).count() == 1
    the_files_are_whole(tmp_path)


class OwnDemo:
    """The demo as a person starts it: a process of its own on a database file of its own."""

    def __init__(self, folder: Path) -> None:
        self.database = folder / "orchard.sqlite3"
        self.output = folder / "papers"
        self.environment = {
            **os.environ,
            "ORCHARD_DATA": str(folder),
            "ORCHARD_DATABASE_URL": f"sqlite:///{self.database}",
            "PYTHONUNBUFFERED": "1",
        }
        self.environment.pop("DJANGO_SETTINGS_MODULE", None)

    def start(self) -> subprocess.Popen[str]:
        """Start it; the season and the roster get a second or two each."""
        command = [sys.executable, "manage.py", "demo", "--no-serve", "--output", str(self.output)]
        return subprocess.Popen(
            [*command, "--season-seconds", "2", "--roster-seconds", "2"],
            cwd=ROOT,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def kill_at(self, words: str) -> None:
        """Start it and end it without warning as soon as its account says these words."""
        running = self.start()
        assert running.stdout is not None
        for line in running.stdout:
            if words in line:
                running.send_signal(signal.SIGKILL)
                break
        running.communicate(timeout=30)
        assert running.returncode == -signal.SIGKILL


def test_a_demo_killed_half_way_is_carried_on_by_the_next(tmp_path: Path) -> None:
    demo = OwnDemo(tmp_path)
    demo.kill_at("4  The next session")

    told, wrong = demo.start().communicate(timeout=120)

    assert wrong == ""
    assert "were there already" in told
    assert "No work changed since it was planned; the plan stands." in " ".join(told.split())
    assert "The rule book blocks nothing in it." in told
    assert len(list(demo.output.glob("*.pdf"))) == 6


def test_a_database_file_that_is_none_is_named_and_left_alone(tmp_path: Path) -> None:
    demo = OwnDemo(tmp_path)
    letter = b"Dear orchard, this is a letter and not a database.\n" * 40
    demo.database.write_bytes(letter)

    running = demo.start()
    told, wrong = running.communicate(timeout=60)

    sentence = " ".join(wrong.split())
    assert running.returncode == 1
    assert f"The database {demo.database} cannot be used: " in sentence
    assert "Move that file aside (it is left as it is) and run the demo again." in sentence
    assert "Traceback" not in wrong
    assert told == ""
    assert demo.database.read_bytes() == letter
    assert not demo.output.exists()


@pytest.mark.django_db
def test_a_season_that_is_over_is_moved_by_whole_years_of_weeks(tmp_path: Path) -> None:
    late = datetime(2028, 1, 1, 12, 0, tzinfo=UTC)
    moved = find_next_year(FIXTURES, at=late)
    assert moved == timedelta(weeks=52)
    import_folder(FIXTURES, at=late, moved=moved)
    first = Session.objects.order_by("starts_at").first()
    assert first is not None
    assert (first.starts_at.date(), first.starts_at.weekday()) == (date(2028, 3, 11), 5)
    assert find_next_year(FIXTURES, at=datetime(2027, 2, 1, tzinfo=UTC)) == timedelta(0)
