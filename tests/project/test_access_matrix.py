"""Every address before every role: who is let in stands in one table, and nowhere is it guessed.

Roles by letter: V volunteer, G guardian, L school liaison, S session lead, C coordinator,
R reader; each account holds one role alone and has a person, a child or a class of its own.
Nobody signed in is asked to sign in; the coordinator of another site finds nothing here, and
nothing of this site at home. A new address without a row fails.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from http import HTTPStatus

import pytest
import time_machine
from django.apps import apps
from django.test import Client
from django.urls import URLPattern, get_resolver, resolve

from tests.access_rows import OPEN_ROWS, SITE_ROWS, Row
from tests.conftest import FIXTURES
from tests.signed_in import NOW, SITE, STRANGER, season_of_the_file  # noqa: F401 (a fixture)

KINDS = {
    "V": "volunteer",
    "G": "guardian",
    "L": "school liaison",
    "S": "session lead",
    "C": "coordinator",
    "R": "reader",
}
POSTED_ONLY = HTTPStatus.METHOD_NOT_ALLOWED


@dataclass(frozen=True, slots=True)
class World:
    """Signed-in clients by letter, and the ids that addresses are filled with."""

    clients: dict[str, Client]
    stranger: Client
    ids: dict[str, object]

    def fill(self, row: Row, site: str = SITE) -> str:
        """Return the row's address on a site."""
        return f"{site}/{row.tail.format(**self.ids)}"


def sign_in_as(email: str) -> Client:
    from orchard.models import User

    client = Client()
    account = User.objects.get(email=email)
    client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
    return client


def publish_a_roster() -> None:
    """Let S02 have a published roster of one place, so that papers and the day open."""
    from orchard.models import Task
    from scheduling.models import Person, Roster, RosterPlace, RosterUnits, Session

    session = Session.objects.get(code="S02")
    roster = Roster.objects.create(
        session=session, version=1, status="good", value={}, bound={}, seconds=0.1, seed=1,
        engine="by hand", made_at=NOW, published_at=NOW, state="published",
    )  # fmt: skip
    task = Task.objects.filter(kind="weed").order_by("pk").first()
    RosterPlace.objects.create(
        roster=roster, person=Person.objects.get(code="P01"), round=0, task=task
    )
    RosterUnits.objects.create(roster=roster, task=task, round=0, units=1)


def upload_trees(client: Client) -> str:
    """Upload the trees as a file, saving nothing; return the upload's number."""
    with (FIXTURES / "trees.csv").open("rb") as file:
        answer = client.post(f"{SITE}/place/import/", {"file": file, "noun": "tree"})
    found = re.search(r"[0-9a-f-]{36}", answer.headers["Location"])
    assert found is not None
    return found[0]


def change_the_plan(client: Client) -> None:
    """Save the plan's head anew, so that it has a version."""
    page = client.get(f"{SITE}/plans/TY-27/head/")
    said = {
        name: value for name, value in page.context["form"].initial.items() if value is not None
    }
    client.post(f"{SITE}/plans/TY-27/head/", said | {"title": "A plan with a history"})


def find_finding(client: Client) -> str:
    """Return the mark of a finding of S02's roster that may be waived."""
    page = client.get(f"{SITE}/seasons/2027/sessions/S02/roster/").content.decode()
    found = re.search(r"roster/waive/\?finding=([^\"]+)", page)
    assert found is not None
    return found[1]


def make_accounts() -> dict[str, int]:
    """Make an account for each letter, holding that one role, with a person of its own."""
    from orchard.models import Site, User
    from orchard.services.roles import grant_role
    from scheduling.models import Person

    site = Site.objects.get(slug=SITE[1:])
    people: dict[str, int] = {}
    for letter, kind in KINDS.items():
        account = User.objects.create_user(f"only.{letter.lower()}@example.org")
        grant_role(user_id=account.pk, site_id=site.pk, kind=kind, at=NOW)
        person = Person.objects.create(
            site=site, code=f"X{letter}", first_name="Only", family_name=letter,
            birth_year=1980, birth_month=1, user=account,
        )  # fmt: skip
        people[letter] = person.pk
    return people


def make_objects(people: dict[str, int]) -> dict[str, object]:
    """Give the guardian a child and the liaison a class; return what addresses need."""
    from orchard.models import Locate, Plan, PlanTreatment, Task, Tree
    from scheduling.models import ClassRequest, Person, SchoolGroup, Session

    child = Person.objects.get(code="P53")
    child.guardian_id = people["G"]
    child.save()
    group = SchoolGroup.objects.get(code="SLUICE-7")
    group.liaison = Person.objects.get(pk=people["L"]).user
    group.save()
    visit = Session.objects.get(code="S05")
    asked = ClassRequest.objects.create(
        site=group.site, liaison=group.liaison, group=group, name=group.name,
        school=group.school, pupils_by_age={"10": 20}, staff=2, weekdays=[1], asked_at=NOW,
    )  # fmt: skip
    return {
        "child": child.pk,
        "request": asked.pk,
        "s02": "seasons/2027/sessions/S02",
        "numbers": f"session={visit.pk}&staff=4&checked_staff=4&age_10=13&age_11=9",
        "task": Task.objects.order_by("pk").first().pk,
        "tag": Tree.objects.order_by("tag").first().tag,
        "locate": Locate.objects.order_by("pk").first().pk,
        "line": PlanTreatment.objects.filter(plan=Plan.objects.get()).first().key,
    }


def make_world() -> World:
    """Return the demo season with an account for each letter; the browser looks at it too."""
    people = make_accounts()
    ids = make_objects(people)
    clients = {letter: sign_in_as(f"only.{letter.lower()}@example.org") for letter in KINDS}
    publish_a_roster()
    ids["upload"] = upload_trees(clients["C"])
    change_the_plan(clients["C"])
    ids["finding"] = find_finding(clients["C"])
    return World(clients, Client(), ids)


@pytest.fixture(scope="module")
def world(season_of_the_file: None, django_db_blocker) -> Iterator[World]:  # noqa: F811
    with django_db_blocker.unblock(), time_machine.travel(NOW, tick=False):
        yield replace(make_world(), stranger=sign_in_as(STRANGER))


def count_rows() -> dict[str, int]:
    """Return how many rows each table of ours holds."""
    return {
        model._meta.label: model._default_manager.count()
        for model in apps.get_models()
        if model._meta.app_label in ("orchard", "scheduling", "account", "mfa")
    }


def list_routes(patterns: list, before: str = "") -> Iterator[tuple[str, str]]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield pattern.name, route
        elif str(pattern.pattern) != "admin/":  # the library's own, for superusers alone
            yield from list_routes(pattern.url_patterns, route)


def name_of(name: str, route: str) -> str:
    """Return the name of a row: two addresses are called “ground”, of the site and a session."""
    return f"session {name}" if name == "ground" and "<str:session>" in route else name


def test_every_address_has_a_row_and_every_row_an_address() -> None:
    there = sorted(name_of(*found) for found in list_routes(get_resolver().url_patterns))
    rows = sorted(row.name for row in (*OPEN_ROWS, *SITE_ROWS))

    assert len(rows) == len(set(rows)), "a row stands twice"
    assert rows == there


def test_rows_lead_where_their_names_say(world: World) -> None:
    for row in SITE_ROWS:
        assert f"{resolve(world.fill(row).partition('?')[0]).url_name}" in row.name
    for row in OPEN_ROWS:
        assert resolve(row.address).url_name == row.name


@pytest.mark.usefixtures("db")
def test_getting_is_answered_by_the_table_and_changes_nothing(world: World) -> None:
    """ASVS 5.0, 8.2.1 to 8.2.3 and 3.5.3: by function, by object, and never by GET."""
    before = count_rows()
    wrong = {}
    with time_machine.travel(NOW, tick=False):
        for row in SITE_ROWS:
            for letter, client in world.clients.items():
                wanted = row.answer if letter in row.who else HTTPStatus.NOT_FOUND
                got = client.get(world.fill(row)).status_code
                if got != wanted:
                    wrong[row.name, letter] = (got, wanted)

    assert wrong == {}
    assert count_rows() == before


@pytest.mark.usefixtures("db")
def test_nobody_signed_in_is_asked_to_sign_in(world: World) -> None:
    nobody = Client()
    for row in SITE_ROWS:
        address = world.fill(row)
        for answer in (nobody.get(address), nobody.post(address)):
            assert answer.status_code == HTTPStatus.FOUND, row.name
            assert answer.headers["Location"].startswith("/account/login/code/?next=/"), row.name


@pytest.mark.usefixtures("db")
def test_posting_without_the_role_is_not_found_and_changes_nothing(world: World) -> None:
    before = count_rows()
    with time_machine.travel(NOW, tick=False):
        for row in SITE_ROWS:
            for letter, client in world.clients.items():
                if letter in row.posts:
                    continue
                refused = {HTTPStatus.NOT_FOUND}
                if row.answer != POSTED_ONLY:
                    refused.add(POSTED_ONLY)  # a page that is only read says so
                got = client.post(world.fill(row)).status_code
                assert got in refused, (row.name, letter)

    assert count_rows() == before


@pytest.mark.usefixtures("db")
def test_the_coordinator_of_another_site_finds_nothing_of_this_one(world: World) -> None:
    """Neither here, nor at home by this site's numbers and names."""
    before = count_rows()
    wrong = {}
    with time_machine.travel(NOW, tick=False):
        for row in SITE_ROWS:
            here = world.fill(row)
            got = [world.stranger.get(here).status_code, world.stranger.post(here).status_code]
            wanted = [HTTPStatus.NOT_FOUND, HTTPStatus.NOT_FOUND]
            if row.names:
                ask = world.stranger.post if row.answer == POSTED_ONLY else world.stranger.get
                got.append(ask(world.fill(row, "/elsewhere")).status_code)
                wanted.append(HTTPStatus.NOT_FOUND)
            if got != wanted:
                wrong[row.name] = got

    assert wrong == {}
    assert count_rows() == before


@pytest.mark.usefixtures("db")
def test_addresses_of_no_site_answer_by_the_table(world: World) -> None:
    wrong = {}
    with time_machine.travel(NOW, tick=False):
        for row in OPEN_ROWS:
            got = {"nobody": Client().get(row.address).status_code}
            wanted = {"nobody": row.stranger} | dict.fromkeys(world.clients, row.known)
            got |= {
                letter: client.get(row.address).status_code
                for letter, client in world.clients.items()
            }
            if row.name == "site_start":
                wanted["C"] = HTTPStatus.OK
            if got != wanted:
                wrong[row.name] = got

    assert wrong == {}


@pytest.mark.usefixtures("db")
def test_the_records_are_for_their_keeper_alone(world: World) -> None:
    for client in world.clients.values():
        assert client.get("/admin/").status_code != HTTPStatus.OK
        assert client.get("/admin/orchard/user/").status_code != HTTPStatus.OK
