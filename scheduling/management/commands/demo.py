"""Carries the demo season from the ground to the printed sheet, and serves the site."""

import os
import subprocess
import sys
import tomllib
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from orchard.domain.errors import PlannerError
from orchard.queries.accounts import load_role_examples
from orchard.queries.pages import load_plan_page, load_plan_titles
from orchard.queries.plans import load_hardness, load_place, load_pockets
from orchard.queries.sites import find_site_id
from orchard.services.tasks import publish_tasks
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.domain.roster import SolveStatus
from scheduling.management import account
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import SessionRoster, find_current_roster
from scheduling.queries.seasons import SeasonTitle, load_season_page, load_season_titles
from scheduling.queries.sessions import load_upcoming
from scheduling.services.import_season import find_next_year, import_folder
from scheduling.services.papers import write_papers
from scheduling.services.publish import publish_roster
from scheduling.services.rosters import propose_roster
from scheduling.services.seasons import plan_season

WORKER_ENDS_SECONDS = 10  # to hand over the best so far of a search under way
FIXTURES = settings.BASE_DIR / "fixtures"


class Command(BaseCommand):
    """The whole main job on the demo season, told step by step."""

    help = (
        "Builds the database, breaks the demo plan into tasks, plans the season, rosters the next "
        "session, writes its papers and invites, and serves the site. Safe to run again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("--no-serve", action="store_true", help="stop before serving the site")
        parser.add_argument(
            "--output",
            type=Path,
            default=settings.DATA_DIR / "demo",
            metavar="DIR",
            help="folder for the day pack and the invites (default: %(default)s)",
        )
        parser.add_argument("--port", type=int, default=8000, help="where to serve (default 8000)")
        parser.add_argument(
            "--season-seconds", type=float, default=15.0, help="most seconds for the season plan"
        )
        parser.add_argument(
            "--roster-seconds", type=float, default=10.0, help="most seconds for the roster"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        """Run every step; a step that cannot go on says what is wrong and what to do."""
        at = timezone.now()
        try:
            self._build_database()
            site_id = self._load(at)
            self._publish_plans(site_id, at)
            season = self._plan_season(site_id, at, options["season_seconds"])
            self._roster_next(site_id, season, at, options["roster_seconds"], options["output"])
        except PlannerError as problem:
            raise CommandError(problem.message) from problem
        except OSError as problem:
            raise CommandError(
                f"{problem}. Choose a folder that can be written with --output DIR."
            ) from problem
        self._tell_accounts(site_id, options["port"])
        if not options["no_serve"]:
            self._serve(options["port"])

    def _say(self, *lines: str) -> None:
        for line in lines:
            self.stdout.write(line)
        self.stdout.flush()

    def _build_database(self) -> None:
        """Bring the database's tables up to date; a file that is no database is left alone."""
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as problem:
            raise CommandError(
                f"The database {connection.settings_dict['NAME']} cannot be used: {problem}. "
                "Move that file aside (it is left as it is) and run the demo again."
            ) from problem

    def _load(self, at: datetime) -> int:
        moved = find_next_year(FIXTURES, at=at)
        report = import_folder(FIXTURES, at=at, moved=moved)
        site_id = find_site_id(_site_slug())
        if site_id is None:
            raise CommandError("The fixtures name no site. Restore fixtures/site.toml.")
        place = load_place(site_id)
        self._say(account.heading(1, "The ground"))
        self._say(
            *account.tell_ground(place, len(load_pockets(site_id)), load_hardness(site_id)),
            account.paragraph(account.tell_import(report)),
        )
        if moved:
            self._say(
                account.paragraph(
                    f"The season in the files is over, so all its days are moved by "
                    f"{moved.days // 7} weeks."
                )
            )
        return site_id

    def _publish_plans(self, site_id: int, at: datetime) -> None:
        self._say(account.heading(2, "The plan and its tasks"))
        for title in load_plan_titles(site_id):
            changes = publish_tasks(plan_id=title.id, on=at.date())
            self._say(*account.tell_plan(load_plan_page(title), changes))

    def _plan_season(self, site_id: int, at: datetime, seconds: float) -> SeasonTitle:
        titles = load_season_titles(site_id)
        if not titles:
            raise CommandError("The site has no season. Restore fixtures/season.toml.")
        season = titles[0]
        self._say(account.heading(3, f"The season: {season.name}"))
        plan = load_season_page(season).plan
        if plan is not None and not plan.is_stale:
            self._say(account.paragraph("No work changed since it was planned; the plan stands."))
        else:
            result = plan_season(
                season_id=season.id,
                at=at,
                limits=Limits(seconds=seconds),
                on_progress=self._follow("planning"),
            )
            if result.status in (SolveStatus.IMPOSSIBLE, SolveStatus.UNDECIDED):
                words = account.STATUS_WORDS[result.status]
                raise CommandError(f"The season is {words}. " + " ".join(result.left_out))
        self._say(*account.tell_season(load_season_page(season)))
        return season

    def _roster_next(
        self, site_id: int, season: SeasonTitle, at: datetime, seconds: float, output: Path
    ) -> None:
        upcoming = [
            page for page in load_upcoming(site_id, at=at) if page.season_code == season.code
        ]
        if not upcoming:
            raise CommandError(
                f"No session of {season.name} lies ahead. Move the dates in fixtures/sessions.csv."
            )
        session = upcoming[0]
        self._say(
            account.heading(
                4,
                f"The next session: {session.code} {session.title}, "
                f"{session.starts_at:%A %d %B %Y, %H:%M}",
            )
        )
        self._say(account.tell_coming(load_roster_problem(session.id)))
        roster = self._roster_of(session.id, at, seconds)
        self._say(*account.tell_roster(roster))
        self._say(account.heading(5, "Papers and invites"))
        receipt = publish_roster(roster_id=roster.id, at=at)
        papers = write_papers(roster_id=roster.id, folder=output.resolve())
        self._say(*account.tell_papers(papers, receipt, output.resolve()))

    def _roster_of(self, session_id: int, at: datetime, seconds: float) -> SessionRoster:
        """Return the session's roster: the published one while it holds, else a new one."""
        standing = find_current_roster(session_id)
        if standing is not None and standing.state == "published" and not standing.blocked:
            self._say(account.paragraph("The published roster still holds; it is kept."))
            return standing
        result = propose_roster(
            session_id=session_id,
            by=None,
            at=at,
            limits=Limits(seconds=seconds),
            on_progress=self._follow("rostering"),
        )
        roster = find_current_roster(session_id)
        if result.roster is None or roster is None:
            words = account.STATUS_WORDS[result.status]
            raise CommandError(f"The roster is {words}. " + " ".join(result.conflicts))
        return roster

    def _follow(self, doing: str) -> Any:
        """Return a listener that tells the first answer and then one line every few seconds."""
        last_told = -5.0

        def follow(progress: Progress) -> None:
            nonlocal last_told
            if progress.value is None or progress.seconds - last_told < 3.0:
                return
            last_told = progress.seconds
            bound = "no bound yet" if progress.bound is None else f"bound {progress.bound:,}"
            self._say(
                f"{account.INDENT}… {doing}, {progress.stage}: {progress.value:,} so far, "
                f"{bound}, after {progress.seconds:.1f} s"
            )

        return follow

    def _tell_accounts(self, site_id: int, port: int) -> None:
        self._say(account.heading(6, f"The site: http://127.0.0.1:{port}/"))
        self._say(
            account.paragraph(
                "Sign in with one of these addresses; the code is mailed, and in the demo the mail "
                "is printed here, in this window."
            )
        )
        for email, kinds in load_role_examples(site_id):
            self._say(f"{account.INDENT}{email:28} {', '.join(kinds)}")

    def _serve(self, port: int) -> None:
        self._say(
            "",
            account.paragraph(
                "Serving, with a worker beside it that carries out searches; Ctrl-C stops both."
            ),
        )
        with search_worker():
            call_command("runserver", f"127.0.0.1:{port}", use_reloader=False)


@contextmanager
def search_worker() -> Iterator[None]:
    """Keep a search worker running beside this process; it ends with it, however that ends."""
    program = [sys.executable, str(settings.BASE_DIR / "manage.py"), "search_worker"]
    # In a session of its own, so that Ctrl-C reaches it once, from here.
    worker = subprocess.Popen(  # noqa: S603 (this very program)
        [*program, "--beside", str(os.getpid())], start_new_session=True
    )
    try:
        yield
    finally:
        worker.terminate()
        try:
            worker.wait(timeout=WORKER_ENDS_SECONDS)
        except subprocess.TimeoutExpired:
            worker.kill()
            worker.wait()


def _site_slug() -> str:
    """Return the short name of the demo site, as its file gives it."""
    with (FIXTURES / "site.toml").open("rb") as file:
        return str(tomllib.load(file)["slug"])
