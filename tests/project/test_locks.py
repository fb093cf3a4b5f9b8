"""The lock files: every requirement pinned by hash, and no address of any index."""

import re
import tomllib

import pytest

from tests.project.tree import read

LOCKS = ("requirements.txt", "requirements-dev.txt")
each_lock = pytest.mark.parametrize("lock", LOCKS)


def _requirements(lock):
    """Return the requirements with their continuation lines joined, comments left out."""
    lines = [line for line in read(lock).splitlines() if not line.lstrip().startswith("#")]
    return [part.strip() for part in "\n".join(lines).replace("\\\n", " ").split("\n") if part]


@each_lock
@pytest.mark.parametrize("banned", ["://", "index", "find-links", "trusted-host"])
def test_lock_names_no_index(lock, banned):
    # "importlib"-like package names may hold no banned word either, so the bare text is searched.
    assert banned not in read(lock)


@each_lock
def test_every_requirement_is_pinned_with_a_hash(lock):
    found = _requirements(lock)

    assert len(found) > 20
    for requirement in found:
        assert re.match(r"[A-Za-z0-9._-]+(\[[a-z,]+\])?==[^\s;]+", requirement), requirement[:80]
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", requirement), requirement[:80]


def test_both_locks_pin_a_shared_package_alike():
    def pins(lock):
        return dict(re.split("==|[ ;]", part)[:2] for part in _requirements(lock))

    run, dev = (pins(lock) for lock in LOCKS)
    shared = sorted(run.keys() & dev.keys())

    assert {name: run[name] for name in shared} == {name: dev[name] for name in shared}


def test_every_named_dependency_is_locked():
    project = tomllib.loads(read("pyproject.toml"))["project"]
    for names, lock in (
        (project["dependencies"], "requirements.txt"),
        (project["optional-dependencies"]["dev"], "requirements-dev.txt"),
    ):
        locked = {re.split(r"[=\[]", part)[0].lower() for part in _requirements(lock)}
        wanted = {re.split(r"[~=<>\[]", name)[0].lower() for name in names}
        assert wanted - locked == set()
