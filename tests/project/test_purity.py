"""The pure rooms: no files, no clock, no environment, no printing, no chance of their own."""

import ast

import pytest

from tests.project.tree import PURE_ROOMS, list_modules, parse

BANNED_CALLS = {"open", "print", "input", "exec", "eval", "breakpoint"}
BANNED_ENDS = {
    "date.today",
    "datetime.now",
    "datetime.today",
    "datetime.utcnow",
    "os.environ",
    "os.getenv",
    "time.sleep",
    "time.time",
    "uuid.uuid1",
    "uuid.uuid4",
}
BANNED_ATTRIBUTES = {"read_bytes", "read_text", "write_bytes", "write_text"}
BANNED_MODULES = {
    "asyncio",
    "io",
    "logging",
    "os",
    "pathlib",
    "secrets",
    "shutil",
    "socket",
    "sqlite3",
    "subprocess",
    "sys",
    "tempfile",
    "threading",
    "urllib.request",
}
BANNED_NAMES = {("time", "time"), ("time", "sleep"), ("uuid", "uuid1"), ("uuid", "uuid4")}
# What a place may have all the same, each for its reason.
ALLOWED = {
    # Bytes in memory are what a sheet is rendered into.
    ("scheduling/sheets/", "io"),
    # A workbook is read from and written to bytes in memory.
    ("orchard/domain/workbooks.py", "io"),
    # The typefaces are files of an installed package.
    ("scheduling/sheets/fonts.py", "pathlib"),
    # A search is stopped from another thread.
    ("scheduling/domain/planner/", "threading"),
}


def _impurities(path, tree):
    allowed = {what for place, what in ALLOWED if path.startswith(place)}
    return [
        f"{path}:{node.lineno}: {what}"
        for node in ast.walk(tree)
        for what in _found(node)
        if what not in allowed
    ]


def _found(node):
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return [node.func.id] if node.func.id in BANNED_CALLS else []
    if isinstance(node, ast.Attribute):
        written = ast.unparse(node)
        ends = [end for end in BANNED_ENDS if f".{written}".endswith(f".{end}")]
        # random.Random(seed) is seeded; everything else there draws from a hidden state.
        hidden = written.startswith("random.") and written != "random.Random"
        return ends + [written] * (hidden or node.attr in BANNED_ATTRIBUTES)
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names if alias.name in BANNED_MODULES]
    if isinstance(node, ast.ImportFrom):
        whole = [node.module] if node.module in BANNED_MODULES else []
        names = {(node.module, alias.name) for alias in node.names}
        chance = [f"random.{name}" for module, name in names if module == "random"]
        return (
            whole
            + [".".join(name) for name in sorted(names & BANNED_NAMES)]
            + [name for name in chance if name != "random.Random"]
        )
    return []


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_room_is_pure(room):
    modules = list_modules(room)

    assert modules
    assert [found for path in modules for found in _impurities(path, parse(path))] == []


@pytest.mark.parametrize(
    "line",
    [
        "open('x')",
        "print('x')",
        "datetime.now()",
        "datetime.datetime.now(tz)",
        "date.today()",
        "os.environ['X']",
        "import os",
        "from pathlib import Path",
        "font.read_bytes()",
        "random.shuffle(x)",
        "from random import choice",
        "from uuid import uuid4",
        "time.time()",
    ],
)
def test_each_impurity_is_seen(line):
    assert _impurities("orchard/domain/x.py", ast.parse(line))


@pytest.mark.parametrize(
    "line", ["random.Random(7)", "from random import Random", "at.now", "from uuid import uuid5"]
)
def test_what_is_pure_is_let_through(line):
    assert _impurities("orchard/domain/x.py", ast.parse(line)) == []
