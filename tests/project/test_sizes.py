"""Functions and modules that have outgrown their room."""

from tests.project.tree import PACKAGES, find_functions, list_modules, parse, read

LONGEST_FUNCTION = 60  # lines; 40 is what to aim at
LONGEST_MODULE = 400  # lines; 300 is what to aim at

# What is longer for now, with its length. Lines may be taken away here, never added.
KNOWN_LONG_FUNCTIONS: dict[str, int] = {}
KNOWN_LONG_MODULES: dict[str, int] = {}


def _function_lengths():
    return {
        f"{path}:{name}": (node.end_lineno or node.lineno) - node.lineno + 1
        for path in list_modules(*PACKAGES)
        for name, node in find_functions(parse(path))
    }


def _module_lengths():
    return {path: len(read(path).splitlines()) for path in list_modules(*PACKAGES, "tests")}


def _outgrown(lengths, limit, known):
    return {name: n for name, n in lengths.items() if n > known.get(name, limit)}


def test_no_function_is_longer_than_its_room():
    assert _outgrown(_function_lengths(), LONGEST_FUNCTION, KNOWN_LONG_FUNCTIONS) == {}


def test_no_module_is_longer_than_its_room():
    assert _outgrown(_module_lengths(), LONGEST_MODULE, KNOWN_LONG_MODULES) == {}


def test_the_lists_of_known_long_ones_hold_nothing_that_was_mended():
    functions, modules = _function_lengths(), _module_lengths()

    assert [n for n in KNOWN_LONG_FUNCTIONS if functions.get(n, 0) <= LONGEST_FUNCTION] == []
    assert [n for n in KNOWN_LONG_MODULES if modules.get(n, 0) <= LONGEST_MODULE] == []
