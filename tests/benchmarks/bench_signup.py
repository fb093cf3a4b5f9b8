"""A thousand people press at the same moment: nobody too many, nobody lost, nobody twice.

Run by hand: `python -m tests.benchmarks.bench_signup`, and the same behind
`.ci/with_postgres` for PostgreSQL. Starts real web workers on the loopback, with a
database of its own that goes afterwards. Everybody has read the session's page, as
people do before they press, and so no worker is cold. Then all press “Sign up”, as
signed-in people do, some of them twice. Prints what the site answered, how long it took,
what a press cost the processors (workers, database and presses apart, from /proc where
there is one), and an audit counted by SQL; leaves with 1 if the audit finds anything.
Times differ between machines and with what else runs, and are never asserted; the
processor's time for a press differs less.
"""

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from pathlib import Path
from urllib.parse import urlencode

from tests.benchmarks.pressing import Press, Presser, race
from tests.benchmarks.processor_time import Site, Spent, find_database_server

FIXTURES = Path(__file__).resolve().parent.parent.parent / "fixtures"
EVERY_TENTH = 10
EMPTY = "/static/orchard/mark.svg"
READS = 50
WORK_OF_A_SESSION = 4


def make_people(count: int) -> list[Presser]:
    """Add adults with an account, a role and a sign-in each, straight into the database."""
    from importlib import import_module

    from django.conf import settings
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY

    from orchard.models import Role, Site, User
    from scheduling.models import Person

    site = Site.objects.get()
    at = datetime.now(tz=UTC)
    users = User.objects.bulk_create(
        [User(email=f"press{n}@example.org", password="!") for n in range(count)]
    )
    Role.objects.bulk_create(
        [Role(user=user, site=site, kind="volunteer", granted_at=at) for user in users]
    )
    people = Person.objects.bulk_create(
        [
            Person(
                site=site, code=f"Z{n:04d}", user=user, first_name=f"Press {n}",
                birth_year=1980, birth_month=1,
            )
            for n, user in enumerate(users)
        ]
    )  # fmt: skip
    store = import_module(settings.SESSION_ENGINE).SessionStore
    pressers = []
    for user, person in zip(users, people, strict=True):
        signed = store()
        signed[SESSION_KEY] = f"{user.pk}"
        signed[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
        signed[HASH_SESSION_KEY] = user.get_session_auth_hash()
        signed.create()
        pressers.append(Presser(person.pk, signed.session_key))
    return pressers


def make_sessions(count: int, spaces: int, season: str) -> list[tuple[int, str]]:
    """Add sessions on days of their own; return each one's number and page."""
    from orchard.models import Site, Task
    from scheduling.models import PlannedWork, Season, SeasonPlan, Session

    site = Site.objects.get()
    row = Season.objects.create(site=site, code=season, name=season)
    plan = SeasonPlan.objects.create(
        season=row, made_at=datetime.now(tz=UTC), status="good", seconds=0.0, seed=1, engine="hand"
    )
    work = Task.objects.filter(state=Task.State.OPEN).order_by("position")[:WORK_OF_A_SESSION]
    begins = (datetime.now(tz=UTC) + timedelta(days=200)).replace(hour=9, minute=0, second=0)
    template = Session.objects.order_by("pk")[0]
    made = []
    for number in range(1, count + 1):
        template.pk, template.season = None, row
        template.code, template.capacity = f"B{number:02d}", spaces
        # Days of another season are never the same: that would be a clash, rightly refused.
        template.starts_at = begins + timedelta(days=number + 40 * Season.objects.count())
        template.state = Session.State.OPEN
        template.save(force_insert=True)
        PlannedWork.objects.bulk_create(
            PlannedWork(season_plan=plan, session_id=template.pk, task=task, units=1)
            for task in work
        )
        page = f"/{site.slug}/seasons/{season}/sessions/{template.code}/sign-up/"
        made.append((template.pk, page))
    return made


@contextmanager
def web_workers(count: int) -> Iterator[Site]:
    """Serve the site with several processes on a free port of the loopback."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    command = [
        sys.executable, "-m", "gunicorn", "orchard.wsgi:application", "--workers", f"{count}",
        "--bind", f"127.0.0.1:{port}", "--timeout", "120", "--backlog", "2048",
        "--log-level", "error",
    ]  # fmt: skip
    server = subprocess.Popen(command)
    try:
        for _ in range(200):
            answered, _ = race(port, [Press(Presser(0, ""), EMPTY, 0)], 1)
            if answered[0].status:
                break
            time.sleep(0.1)
        yield Site(port, server.pid, find_database_server())
    finally:
        server.terminate()
        server.wait(timeout=30)


AUDIT = {
    "sessions over their capacity": """
        select count(*) from (
            select s.id from scheduling_session s join scheduling_signup u on u.session_id = s.id
            where u.state in ('confirmed', 'offered') and s.id in ({ids})
            group by s.id, s.capacity having count(*) > s.capacity) as over_full""",
    "people twice in a session": """
        select count(*) from (
            select session_id, person_id from scheduling_signup where session_id in ({ids})
            group by session_id, person_id having count(*) > 1) as twice""",
    "places in line taken twice": """
        select count(*) from (
            select session_id, line from scheduling_signup
            where session_id in ({ids}) and line is not null
            group by session_id, line having count(*) > 1) as shared""",
    "places in line out of the order of arrival": """
        select count(*) from scheduling_signup a join scheduling_signup b
            on a.session_id = b.session_id and a.line < b.line and a.id > b.id
        where a.session_id in ({ids})""",
    "spaces left free while somebody waits": """
        select count(*) from (
            select s.id from scheduling_session s join scheduling_signup u on u.session_id = s.id
            where s.id in ({ids}) group by s.id, s.capacity
            having sum(case when u.state = 'confirmed' then 1 else 0 end) < s.capacity
               and sum(case when u.state = 'waiting' then 1 else 0 end) > 0) as idle""",
}


def audit(answered: Sequence[Press], sessions: Sequence[int]) -> tuple[dict[str, int], Counter]:
    """Return how often each thing that must never be was found by SQL, and the states counted."""
    from django.db import connection

    ids = ",".join(str(one) for one in sessions)
    found: dict[str, int] = {}
    with connection.cursor() as cursor:
        for what, sql in AUDIT.items():
            cursor.execute(sql.format(ids=ids))
            found[what] = cursor.fetchone()[0]
        cursor.execute(
            "select session_id, person_id, state from scheduling_signup "
            f"where session_id in ({ids})"
        )
        kept = {(session, person): state for session, person, state in cursor.fetchall()}
    told = {(p.session, p.presser.person) for p in answered if p.status == HTTPStatus.FOUND}
    found["sign-ups answered and not kept"] = len(told - set(kept))
    unsure = {(p.session, p.presser.person) for p in answered}
    found["sign-ups kept that nobody made"] = len(set(kept) - unsure)
    return found, Counter(kept.values())


def at_percent(answered: Sequence[Press], percent: int) -> float:
    """Return the milliseconds within which so many of a hundred presses were answered."""
    times = sorted(one.seconds * 1000 for one in answered)
    return times[min(len(times) - 1, len(times) * percent // 100)]


def show_times(answered: Sequence[Press], spent: Spent) -> None:
    """Print how long presses took, and what each cost the processors."""
    p50, p95, p99 = (at_percent(answered, percent) for percent in (50, 95, 99))
    print(f"  p50 {p50:.0f} ms, p95 {p95:.0f} ms, p99 {p99:.0f} ms")
    workers, database, presses = (
        1000 * one / len(answered) for one in (spent.workers, spent.database, spent.presses)
    )
    print(
        f"  processor's time for each: {workers:.1f} ms in the workers, {database:.1f} ms in the "
        f"database server, {presses:.1f} ms to press"
    )


def show(
    title: str,
    answered: Sequence[Press],
    seconds: float,
    spent: Spent,
    sessions: Sequence[int],
) -> bool:
    """Print one race; return whether the audit found nothing."""
    statuses = Counter(one.status for one in answered)
    found, states = audit(answered, sessions)
    errors = sum(n for status, n in statuses.items() if status not in (200, 302))
    print(f"\n{title}: {len(answered)} presses in {seconds:.1f} s")
    print(
        f"  accepted {states['confirmed']}, waiting {states['waiting']}, "
        f"refused {statuses[200]}, errors {errors}" + (f" {dict(statuses)}" if errors else "")
    )
    show_times(answered, spent)
    for what, count in found.items():
        print(f"  {count} {what}")
    return not any(found.values()) and not errors


def read_pages(site: Site, title: str, reads: Sequence[Press], clients: int) -> None:
    """Let people read pages, and print what that took."""
    before = site.measure()
    answered, seconds = race(site.port, reads, clients)
    print(
        f"\n{title}: {len(answered)} times in {seconds:.1f} s, "
        f"{dict(Counter(one.status for one in answered))}"
    )
    show_times(answered, site.measure().since(before))


def run_race(
    site: Site,
    title: str,
    pressers: Sequence[Presser],
    sessions: Sequence[tuple[int, str]],
    clients: int,
) -> bool:
    """Let everybody press, every tenth twice; return whether all was right."""
    twice = pressers[::EVERY_TENTH]
    presses = []
    for index, who in enumerate((*pressers, *twice)):
        number, page = sessions[index % len(sessions)]
        body = urlencode({"people": who.person, "together": "on"})
        presses.append(Press(who, page, number, body))
    reads = [
        replace(press, page=press.page.removesuffix("sign-up/"), body="")
        for press in presses[:READS]
    ]
    read_pages(site, f"{title}, the page read before", reads, clients)
    before = site.measure()
    answered, seconds = race(site.port, presses, clients)
    spent = site.measure().since(before)
    return show(title, answered, seconds, spent, [number for number, _ in sessions])


def run_races(options: argparse.Namespace) -> bool:
    """Make people and sessions, and run both races so many times."""
    from django.db import connection

    pressers = make_people(options.people)
    results = []
    with web_workers(options.workers) as site:
        print(
            f"{connection.vendor}, {options.workers} web workers, {options.clients} clients at "
            f"once, {os.cpu_count()} cores, load before {os.getloadavg()[0]:.1f}"
        )
        empty = [Press(pressers[0], EMPTY, 0)] * READS
        read_pages(site, "A file that asks nothing of the site", empty, options.clients)
        for number in range(1, options.rounds + 1):
            one = make_sessions(1, 40, f"ONE-{number}")
            many = make_sessions(25, 30, f"MANY-{number}")
            for title, sessions in (("40 spaces of one session", one), ("25 sessions of 30", many)):
                results.append(run_race(site, title, pressers, sessions, options.clients))
    return all(results)


def run() -> int:
    """Race in a database of its own."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--people", type=int, default=1000)
    reader.add_argument("--clients", type=int, default=50)
    reader.add_argument("--workers", type=int, default=4)
    reader.add_argument("--rounds", type=int, default=2)
    options = reader.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["ORCHARD_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "orchard.settings"
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        from orchard.models import Plan
        from orchard.services.tasks import publish_tasks
        from scheduling.services.import_season import import_folder

        at = datetime.now(tz=UTC)
        import_folder(FIXTURES, at=at)
        for plan in Plan.objects.all():
            publish_tasks(plan_id=plan.pk, on=at.date())
        return 0 if run_races(options) else 1


if __name__ == "__main__":
    sys.exit(run())
