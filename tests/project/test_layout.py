"""What lies where: the top level, and what must not be in the tree at all."""

import os
import re
import tomllib

import pytest

from tests.project.tree import PACKAGES, ROOT, list_files, read

TOP = {
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "fixtures",
    "manage.py",
    "orchard",
    "pyproject.toml",
    "requirements-dev.txt",
    "requirements.txt",
    "scheduling",
    "templates",
    "tests",
}
MUST = {".ci/run", "DEVELOPERS.md", "LICENSE", "README.md", "manage.py", "pyproject.toml"}

# Letters in brackets keep each pattern from finding itself.
BANNED_TEXT = {
    "a path of one machine": r"(^|[^A-Za-z0-9_.])/(work|farm|tmp|root)/[A-Za-z0-9]",
    "a package registry": r"(?i)pypi\.org|python[h]osted|npm[j]s|deb\.d[e]bian"
    r"|--(extra-)?index-[u]rl|--find-[l]inks",
    "the paper the project began with": r"(?i)\b(tran[s]cript|seed [d]ocument|pod[c]ast)\b",
    "work left undone": r"\b(TOD[O]|FIXM[E]|XX[X]|NotImplemented[E]rror)\b",
}
BANNED_NAMES = r"(?i)\.(min\.(js|css)|ttf|otf|woff2?|map)$|(^|/)(vendor|third_party|node_modules)/"
VAGUE_NAMES = {"common", "handle", "helpers", "manager", "process", "utils"}


def test_top_level_holds_what_the_layout_names_and_nothing_else():
    top = {path.split("/")[0] for path in list_files()}

    assert {name for name in top if not name.startswith(".")} - TOP == set()
    assert set(list_files()) >= MUST


@pytest.mark.parametrize("what", sorted(BANNED_TEXT))
def test_no_file_holds(what):
    pattern = re.compile(BANNED_TEXT[what])
    hits = [
        f"{path}:{number}: {line.strip()[:80]}"
        for path in list_files()
        for number, line in enumerate(read(path).splitlines(), 1)
        if pattern.search(line)
    ]

    assert hits == []


@pytest.mark.parametrize(
    ("what", "sample"),
    [
        ("a path of one machine", 'open("/' + 'tmp/x")'),
        ("a package registry", "https://py" + "pi.org/simple"),
        ("the paper the project began with", "see the tran" + "script"),
        ("work left undone", "# TO" + "DO later"),
    ],
)
def test_each_pattern_finds_what_it_is_for(what, sample):
    assert re.search(BANNED_TEXT[what], sample)


def test_nothing_of_anyone_elses_is_copied_in():
    assert [path for path in list_files() if re.search(BANNED_NAMES, path)] == []


def test_no_module_has_a_vague_name():
    stems = {path: path.rsplit("/", 1)[-1].removesuffix(".py") for path in list_files()}

    assert [path for path, stem in stems.items() if stem in VAGUE_NAMES] == []


def test_no_test_is_skipped_or_expected_to_fail():
    marks = re.compile(
        r"mark\.(ski[p]|xfai[l])|pytest\.(ski[p]|xfai[l])|unittest\.ski[p]|importorski[p]"
    )
    tests = [path for path in list_files() if path.startswith("tests/") and path.endswith(".py")]

    assert [path for path in tests if marks.search(read(path))] == []


def test_every_folder_of_a_package_with_modules_is_a_package():
    # A folder without __init__.py is invisible to the import contracts.
    files = set(list_files())
    folders = {
        path.rsplit("/", 1)[0]
        for path in files
        if path.endswith(".py") and path.split("/")[0] in PACKAGES
    }

    assert [folder for folder in sorted(folders) if f"{folder}/__init__.py" not in files] == []


def test_the_gate_can_be_run():
    assert os.access(ROOT / ".ci/run", os.X_OK)
    assert os.access(ROOT / ".ci/with_postgres", os.X_OK)


def test_warnings_are_errors_and_ignored_ones_are_explained():
    text = read("pyproject.toml")
    pytest_options = tomllib.loads(text)["tool"]["pytest"]["ini_options"]

    assert pytest_options["filterwarnings"][0] == "error"
    lines = text.splitlines()
    for number, line in enumerate(lines):
        if line.strip().startswith('"ignore:'):
            assert lines[number - 1].strip().startswith("#"), line
