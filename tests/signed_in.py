"""Fixtures of the page tests: the demo season loaded once a file, and signed-in clients."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
import time_machine
from django.db import transaction
from django.test import Client

from tests.conftest import FIXTURES

NOW = datetime(2027, 2, 1, 12, 0, tzinfo=UTC)
SITE = "/traverser-yard"
SEASON = f"{SITE}/seasons/2027"
S02 = f"{SEASON}/sessions/S02"

COORDINATOR = "coordinator@example.org"
LEAD = "lead@example.org"
VOLUNTEER = "volunteer@example.org"
GUARDIAN = "guardian@example.org"
LIAISON = "liaison@example.org"
OTHER_LIAISON = "liaison.lock@example.org"
STRANGER = "elsewhere@example.org"

SignIn = Callable[[str], Client]


@pytest.fixture(scope="module")
def season_of_the_file(django_db_setup: None, django_db_blocker) -> Iterator[None]:
    """The demo season with its tasks, inside one transaction that the file shares."""
    from orchard.models import Plan, Site, User
    from orchard.services.import_ground import import_ground
    from orchard.services.roles import grant_role
    from orchard.services.tasks import publish_tasks
    from scheduling.services.import_season import import_season

    with django_db_blocker.unblock(), transaction.atomic():
        import_ground(FIXTURES, at=NOW)
        import_season(FIXTURES, at=NOW)
        publish_tasks(plan_id=Plan.objects.get().pk, on=NOW.date())
        other = Site.objects.get()
        other.pk, other.slug, other.name = None, "elsewhere", "Another Orchard"
        other.save()
        stranger = User.objects.create_user(STRANGER)
        for kind in ("coordinator", "volunteer", "school liaison"):
            grant_role(user_id=stranger.pk, site_id=other.pk, kind=kind, at=NOW)
        yield
        transaction.set_rollback(True)


@pytest.fixture
def sign_in(season_of_the_file: None, db: None) -> Iterator[SignIn]:
    """Return what gives a client signed in as an address; time stands still before the season."""
    from orchard.models import User

    def signed_in(email: str, *, checks_csrf: bool = False) -> Client:
        client = Client(enforce_csrf_checks=checks_csrf)
        account = User.objects.get(email=email)
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
        return client

    with time_machine.travel(NOW, tick=False):
        yield signed_in
