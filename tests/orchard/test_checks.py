"""The start-up checks: silent on a laptop, loud on a public server that is set up wrongly."""

import os
import subprocess
import sys

import pytest

from orchard.checks import check_base_url, check_debug, check_keepers, check_secret_key
from tests.project.tree import ROOT


@pytest.fixture
def laptop(settings, tmp_path):
    """Return settings as they are when no variable is set."""
    (tmp_path / "secret_key").write_text("made on first use")
    settings.DATA_DIR = tmp_path
    settings.SECRET_KEY = "made on first use"
    settings.ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
    settings.BASE_URL = "http://127.0.0.1:8000"
    settings.DEBUG = False
    settings.SECURE_SSL_REDIRECT = False
    return settings


def _found():
    checks = (check_debug, check_secret_key, check_base_url)
    return [message for check in checks for message in check(app_configs=None)]


def _ids():
    return [message.id for message in _found()]


def test_a_laptop_passes_with_and_without_debug(laptop):
    assert _ids() == []
    laptop.DEBUG = True
    assert _ids() == []


def test_a_public_server_set_up_well_passes(laptop):
    laptop.ALLOWED_HOSTS = ["orchard.example"]
    laptop.SECRET_KEY = "from the environment"
    laptop.BASE_URL = "https://orchard.example"
    laptop.SECURE_SSL_REDIRECT = True

    assert _ids() == []


def test_a_public_server_with_a_laptops_settings_is_told_all_of_it(laptop):
    laptop.ALLOWED_HOSTS = ["localhost", "orchard.example"]
    laptop.DEBUG = True
    laptop.SECURE_SSL_REDIRECT = True

    assert _ids() == ["orchard.E001", "orchard.E002", "orchard.W004", "orchard.W005"]


def test_a_wildcard_host_counts_as_public(laptop):
    laptop.ALLOWED_HOSTS = ["*"]
    laptop.DEBUG = True

    assert check_debug(app_configs=None)[0].msg.startswith(
        "ORCHARD_DEBUG is on and the site answers to *"
    )


@pytest.mark.parametrize("address", ["orchard.example", "ftp://orchard.example", "https://", ""])
def test_an_address_that_is_none_is_refused(laptop, address):
    laptop.BASE_URL = address

    assert _ids() == ["orchard.E003"]


def test_every_message_says_what_to_do(laptop):
    laptop.ALLOWED_HOSTS = ["orchard.example"]
    laptop.DEBUG = True
    found = [
        *check_debug(app_configs=None),
        *check_secret_key(app_configs=None),
        *check_base_url(app_configs=None),
    ]

    assert len(found) == 3
    for message in found:
        assert "ORCHARD_" in message.hint


def test_the_checks_run_at_start_up(tmp_path):
    environment = {**os.environ, "ORCHARD_BASE_URL": "nowhere", "ORCHARD_DATA": str(tmp_path)}
    run = subprocess.run(
        [sys.executable, "manage.py", "check"],
        env=environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )

    assert run.returncode == 1
    assert "(orchard.E003) ORCHARD_BASE_URL is “nowhere”" in run.stderr


@pytest.mark.django_db
def test_keepers_without_a_second_factor_are_named_and_others_are_not(settings):
    from allauth.mfa.models import Authenticator

    from orchard.models import User

    bare = User.objects.create_superuser("bare@example.org")
    app = User.objects.create_superuser("app@example.org")
    codes = User.objects.create_superuser("codes@example.org")
    User.objects.create_superuser("closed@example.org", is_active=False)
    User.objects.create_user("volunteer@example.org")
    Authenticator.objects.create(user=app, type=Authenticator.Type.TOTP, data={})
    # Spare codes are no second factor of their own: they only stand in for one.
    Authenticator.objects.create(user=codes, type=Authenticator.Type.RECOVERY_CODES, data={})

    for required, words in ((True, "stay shut"), (False, "ORCHARD_SECOND_FACTOR is off")):
        settings.SECOND_FACTOR_REQUIRED = required
        (found,) = check_keepers(app_configs=None)
        assert found.id == "orchard.W006"
        assert "without a second factor: bare@example.org, codes@example.org." in found.msg
        assert words in found.msg

    Authenticator.objects.create(user=bare, type=Authenticator.Type.WEBAUTHN, data={})
    User.objects.filter(pk=codes.pk).delete()
    assert check_keepers(app_configs=None) == []


def test_a_database_without_tables_is_no_reason_to_stop(tmp_path):
    made = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy"],
        cwd=ROOT,
        env={
            **os.environ,
            "ORCHARD_DATA": str(tmp_path),
            "ORCHARD_DATABASE_URL": f"sqlite:///{tmp_path}/empty.sqlite3",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    assert "orchard.W006" not in made.stderr
