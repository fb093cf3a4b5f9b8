"""A thousand people press at the same moment: nobody too many, nobody lost, nobody twice.

Run by hand: `python -m tests.benchmarks.bench_signup`, and the same behind
`.ci/with_postgres` for PostgreSQL. Starts real web workers on the loopback, with a
database of its own that goes afterwards, and presses “Sign up” as signed-in people do.
Prints what the site answered, how long it took, and an audit counted by SQL; leaves with 1
if the audit finds anything. Times differ between machines and are never asserted.
"""

import argparse
import http.client
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from pathlib import Path
from threading import Barrier
from urllib.parse import urlencode

FIXTURES = Path(__file__).resolve().parent.parent.parent / "fixtures"
TOKEN = "b" * 32  # any secret will do, when cookie and header agree
EVERY_TENTH = 10


@dataclass(frozen=True, slots=True)
class Presser:
    """Somebody signed in: their person, and the key of their sign-in."""

    person: int
    key: str


@dataclass(frozen=True, slots=True)
class Press:
    """One press: who, on which page, and (afterwards) the status and the seconds it took."""

    presser: Presser
    page: str
    session: int
    status: int = 0
    seconds: float = 0.0


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
    from orchard.models import Site
    from scheduling.models import Season, Session

    site = Site.objects.get()
    row = Season.objects.create(site=site, code=season, name=season)
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
        page = f"/{site.slug}/seasons/{season}/sessions/{template.code}/sign-up/"
        made.append((template.pk, page))
    return made


@contextmanager
def web_workers(count: int) -> Iterator[int]:
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
            try:
                ask(port, "GET", "/", "", Presser(0, ""))
                break
            except OSError:
                time.sleep(0.1)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=30)


def ask(port: int, method: str, page: str, body: str, who: Presser) -> int:
    """Send one request on a connection of its own and return the status."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    headers = {
        "Cookie": f"sessionid={who.key}; csrftoken={TOKEN}",
        "X-CSRFToken": TOKEN,
        "Content-Type": "application/x-www-form-urlencoded",
    }
    try:
        connection.request(method, page, body, headers)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


def race(port: int, presses: Sequence[Press], clients: int) -> tuple[list[Press], float]:
    """Send every press, so many at a time, all clients let go at once; return them answered."""
    barrier = Barrier(clients)

    def press(one: Press) -> Press:
        body = urlencode({"people": one.presser.person, "together": "on"})
        begun = time.perf_counter()
        try:
            status = ask(port, "POST", one.page, body, one.presser)
        except OSError:
            status = 0
        return Press(one.presser, one.page, one.session, status, time.perf_counter() - begun)

    def client(number: int) -> list[Press]:
        barrier.wait()
        return [press(one) for one in presses[number::clients]]

    begun = time.perf_counter()
    with ThreadPoolExecutor(clients) as pool:
        answered = [one for share in pool.map(client, range(clients)) for one in share]
    return answered, time.perf_counter() - begun


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


def show(title: str, answered: Sequence[Press], seconds: float, sessions: Sequence[int]) -> bool:
    """Print one race; return whether the audit found nothing."""
    statuses = Counter(one.status for one in answered)
    found, states = audit(answered, sessions)
    times = sorted(one.seconds * 1000 for one in answered)

    def at(percent: int) -> float:
        return times[min(len(times) - 1, len(times) * percent // 100)]

    errors = sum(n for status, n in statuses.items() if status not in (200, 302))
    print(f"\n{title}: {len(answered)} presses in {seconds:.1f} s")
    print(
        f"  accepted {states['confirmed']}, waiting {states['waiting']}, "
        f"refused {statuses[200]}, errors {errors}" + (f" {dict(statuses)}" if errors else "")
    )
    print(f"  p50 {at(50):.0f} ms, p95 {at(95):.0f} ms, p99 {at(99):.0f} ms")
    for what, count in found.items():
        print(f"  {count} {what}")
    return not any(found.values()) and not errors


def run_races(options: argparse.Namespace) -> bool:
    """Make people and sessions, and run both races so many times."""
    from django.db import connection

    clean = True
    pressers = make_people(options.people)
    twice = pressers[::EVERY_TENTH]  # these press a second time
    with web_workers(options.workers) as port:
        print(
            f"{connection.vendor}, {options.workers} web workers, {options.clients} clients at "
            f"once, {os.cpu_count()} cores, load before {os.getloadavg()[0]:.1f}"
        )
        for number in range(1, options.rounds + 1):
            one = make_sessions(1, 40, f"ONE-{number}")
            presses = [Press(who, one[0][1], one[0][0]) for who in (*pressers, *twice)]
            answered, seconds = race(port, presses, options.clients)
            clean &= show("40 spaces of one session", answered, seconds, [one[0][0]])
            many = make_sessions(25, 30, f"MANY-{number}")
            presses = [
                Press(who, *reversed(many[index % len(many)]))
                for index, who in enumerate((*pressers, *twice))
            ]
            answered, seconds = race(port, presses, options.clients)
            clean &= show("25 sessions of 30", answered, seconds, [pk for pk, _ in many])
    return clean


def run() -> int:
    """Race in a database of its own."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--people", type=int, default=1000)
    reader.add_argument("--clients", type=int, default=50)
    reader.add_argument("--workers", type=int, default=4)
    reader.add_argument("--rounds", type=int, default=1)
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
