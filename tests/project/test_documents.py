"""Docstrings of the pure rooms, and the documents at the top."""

import ast
import re

import pytest

from tests.project.tree import PACKAGES, PURE_ROOMS, find_functions, list_modules, parse, read

HEADINGS = {"Args", "Returns", "Raises", "Source", "Assumes"}
# Names without a docstring for now. Lines may be taken away here, never added.
KNOWN_BARE: frozenset[str] = frozenset()


def _public_functions(room):
    for path in list_modules(room):
        for name, node in find_functions(parse(path)):
            if not any(part.startswith("_") for part in name.split(".")) and "." not in name:
                yield f"{path}:{name}", node


def _public_methods(room):
    for path in list_modules(room):
        for owner in parse(path).body:
            if isinstance(owner, ast.ClassDef) and not owner.name.startswith("_"):
                for node in owner.body:
                    if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                        yield f"{path}:{owner.name}.{node.name}", node


def _headings(docstring):
    return set(re.findall(r"^([A-Z][A-Za-z ]*):$", docstring, re.M))


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_every_public_function_says_what_it_returns(room):
    functions = [*_public_functions(room), *_public_methods(room)]
    bare = [name for name, node in functions if not ast.get_docstring(node)]

    assert functions
    assert [name for name in bare if name not in KNOWN_BARE] == []


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_docstrings_use_the_fixed_headings(room):
    odd = {
        name: sorted(_headings(ast.get_docstring(node) or "") - HEADINGS)
        for path in list_modules(room)
        for name, node in [(f"{path}:{name}", node) for name, node in find_functions(parse(path))]
    }

    assert {name: found for name, found in odd.items() if found} == {}


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_docstrings_open_with_one_sentence_that_is_not_about_the_function(room):
    wrong = [
        name
        for name, node in _public_functions(room)
        if (first := (ast.get_docstring(node) or "").split("\n\n")[0])
        and (first.startswith("This ") or not re.search(r"[.:?]$", first))
    ]

    assert wrong == []


def test_every_module_says_what_it_is_for():
    modules = [path for path in list_modules(*PACKAGES) if read(path).strip()]

    assert [path for path in modules if not ast.get_docstring(parse(path))] == []


def test_no_comment_or_docstring_says_we():
    def says_we(path):
        words = [line.split("#", 1)[1] for line in read(path).splitlines() if "# " in line]
        words += [ast.get_docstring(parse(path)) or ""]
        words += [ast.get_docstring(node) or "" for _, node in find_functions(parse(path))]
        return any(re.search(r"\b[Ww]e\b", text) for text in words)

    assert [path for path in list_modules(*PACKAGES) if says_we(path)] == []


def _section(text, title):
    parts = re.split(r"^## ", text, flags=re.M)
    (found,) = [part for part in parts if part.split("\n", 1)[0].strip() == title]
    return found


@pytest.mark.parametrize(
    ("title", "ending"), [("Run it", r"manage\.py demo$"), ("Test it", r"pytest$")]
)
def test_readme_holds_one_command_that_options_can_follow(title, ending):
    fences = re.findall(r"^```(\w*)\n(.*?)^```$", _section(read("README.md"), title), re.M | re.S)

    assert len(fences) == 1
    language, body = fences[0]
    assert language == "sh"
    assert len(body.strip().splitlines()) == 1
    assert "--require-hashes" in body
    assert re.search(ending, body.strip())


def test_developers_open_with_where_things_go():
    headings = re.findall(r"^## (.+)$", read("DEVELOPERS.md"), re.M)

    assert headings[0].lower().startswith("where do i put")
    assert "add a treatment" in headings[1].lower()
    assert "add a rule" in headings[2].lower()


def test_developers_name_every_variable_the_settings_read():
    variables = set(re.findall(r"\bORCHARD_[A-Z_]+", read("orchard/settings.py")))

    assert variables
    assert [name for name in sorted(variables) if name not in read("DEVELOPERS.md")] == []
