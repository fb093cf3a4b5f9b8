"""What every test may use: the demo season in the database, and a fixed now."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.conf import settings
from django.test import override_settings

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Keep the SQLite test database in a file: threads cannot share one held in memory."""
    from django.db import connection

    if connection.vendor == "sqlite":
        file = tmp_path_factory.mktemp("database") / "test.sqlite3"
        connection.settings_dict["TEST"]["NAME"] = str(file)


@pytest.fixture(scope="session", autouse=True)
def cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep each test process's cache apart: one that forgets its tries forgot the others' too."""
    own = {**settings.CACHES["default"], "LOCATION": tmp_path_factory.mktemp("cache")}
    with override_settings(CACHES={"default": own}):
        yield


@pytest.fixture
def now() -> datetime:
    """A moment before the demo season begins."""
    return datetime(2027, 2, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def demo_season(db: None, now: datetime) -> None:
    """The demo season loaded and its plan published, as `manage.py demo` begins."""
    from orchard.models import Plan
    from orchard.services.tasks import publish_tasks
    from scheduling.services.import_season import import_folder

    import_folder(FIXTURES, at=now)
    for plan in Plan.objects.all():
        publish_tasks(plan_id=plan.pk, on=now.date())
