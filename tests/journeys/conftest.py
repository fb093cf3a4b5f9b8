"""What the journeys share: people come in by the mailed code, before the season begins."""

import re
from collections.abc import Callable, Iterator

import pytest
import time_machine
from django.core import mail
from django.core.cache import cache
from django.test import Client
from pytest_django import Settings

from tests.signed_in import NOW, season_of_the_file, sign_in  # noqa: F401 (fixtures)

Enter = Callable[[str], Client]


@pytest.fixture
def before_the_season(settings: Settings) -> Iterator[None]:
    """Let time stand still before the season, and count sign-in tries for this test alone."""
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def enter(season_of_the_file: None, db: None, before_the_season: None) -> Enter:  # noqa: F811
    """Return what signs somebody in: the address first, then the code that came by mail."""

    def entered(email: str) -> Client:
        client = Client()
        waiting = client.post("/account/login/code/", {"email": email}, follow=True)
        assert waiting.request["PATH_INFO"] == "/account/login/code/confirm/"
        assert mail.outbox[-1].to == [email]
        code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
        assert code is not None
        home = client.post("/account/login/code/confirm/", {"code": code[1]}, follow=True)
        assert home.request["PATH_INFO"] == "/"
        assert "Traverser Yard Orchard" in home.content.decode()
        return client

    return entered
