"""Settings as a server reads them: a process of its own, with an environment of its own."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


def check_deploy(folder: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    command = [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"]
    return subprocess.run(
        command,
        cwd=ROOT,
        env={**kept, "ORCHARD_DATA": str(folder), **variables},
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_public_server_needs_host_key_and_https_alone(tmp_path: Path) -> None:
    """Django's deployment checklist (`check --deploy`) and the checks of this project."""
    told = check_deploy(
        tmp_path, ORCHARD_HTTPS="1", ORCHARD_SECRET_KEY="k3y-" * 20 + "abcdefgh",
        ORCHARD_HOSTS="example.org,www.example.org",
    )  # fmt: skip

    assert told.returncode == 0, told.stderr
    assert "no issues" in told.stdout


def test_the_folder_with_peoples_ages_and_consents_is_its_owners_alone(tmp_path: Path) -> None:
    """POSIX file modes: 0700 gives nothing to group and others."""
    check_deploy(tmp_path / "data")

    assert (tmp_path / "data").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "data" / "secret_key").stat().st_mode & 0o777 == 0o600


def test_a_public_server_asks_coordinators_for_a_second_factor(tmp_path: Path) -> None:
    command = [
        sys.executable, "-c",
        "from django.conf import settings; print(settings.SECOND_FACTOR_REQUIRED)",
    ]  # fmt: skip
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    kept |= {"ORCHARD_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "orchard.settings"}

    def asked(**variables: str) -> str:
        return subprocess.run(
            command, cwd=ROOT, env={**kept, **variables}, capture_output=True, text=True, check=True
        ).stdout.strip()

    assert asked() == "False"
    assert asked(ORCHARD_HTTPS="1") == "True"
    assert asked(ORCHARD_HTTPS="1", ORCHARD_SECOND_FACTOR="0") == "False"
