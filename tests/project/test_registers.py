"""Treatments and rules: each file is registered, tested, documented, and like no other."""

import re

import pytest

from orchard.domain.treatments import TREATMENTS
from scheduling.domain.rules import RULES
from tests.project.tree import list_files, list_modules, read

TREATMENT_ROOM = "orchard/domain/treatments"
RULE_ROOM = "scheduling/domain/rules"
each_room = pytest.mark.parametrize(
    ("room", "register"), [(TREATMENT_ROOM, TREATMENTS), (RULE_ROOM, RULES)]
)


def _stems(room):
    return {path.rsplit("/", 1)[1].removesuffix(".py") for path in list_modules(room)} - {
        "__init__"
    }


def _stem_of(entry):
    return type(entry).__module__.rsplit(".", 1)[1]


@each_room
def test_every_file_is_in_its_register_and_has_a_test(room, register):
    stems = _stems(room)

    assert {_stem_of(entry) for entry in register} == stems
    tests = {f"tests/{room}/test_{stem}.py" for stem in stems}
    assert sorted(tests - set(list_files())) == []


@each_room
def test_codes_are_well_formed_and_never_given_twice(room, register):
    codes = [entry.code for entry in register]

    assert len(set(codes)) == len(codes)
    shape = r"[A-Z]{3}" if room == TREATMENT_ROOM else r"[A-Z]{2,5}-[1-9]\d*"
    assert [code for code in codes if not re.fullmatch(shape, code)] == []


@each_room
def test_everyone_says_where_it_comes_from(room, register):
    assert [entry.code for entry in register if not entry.source.strip()] == []


def test_every_treatment_has_its_line_in_the_developers_table():
    lines = read("DEVELOPERS.md").splitlines()
    missing = [
        f"| {entry.code} | … | `{_stem_of(entry)}.py` |"
        for entry in TREATMENTS
        if not any(
            line.startswith(f"| {entry.code} |") and f"`{_stem_of(entry)}.py`" in line
            for line in lines
        )
    ]

    assert missing == []


def test_every_rule_file_opens_with_the_rules_sentence():
    def opening(entry):
        return " ".join(read(f"{RULE_ROOM}/{_stem_of(entry)}.py").split('"""')[1].split())

    assert [r.code for r in RULES if not opening(r).startswith(" ".join(r.sentence.split()))] == []
