"""The book as printed is the register and the policy: every rule, every figure, every source."""

import pytest

from scheduling.domain.figures import change_figures
from scheduling.domain.policy import build_default_policy, build_policy
from scheduling.domain.rule_book import FIGURES_OF, build_rule_book, list_policy_figures
from scheduling.domain.rule_sets import get_rule_set
from scheduling.domain.rules import RULES

BOOK = build_rule_book(build_default_policy())


def rule(code: str):
    return next(one for one in BOOK.rules if one.code == code)


def figure(code: str, label: str):
    return next(line for line in rule(code).figures if line.label == label)


def test_every_rule_of_the_register_is_in_the_book_in_its_order():
    assert [one.code for one in BOOK.rules] == [one.code for one in RULES]
    assert [one.sentence for one in BOOK.rules] == [one.sentence for one in RULES]


def test_the_list_of_figures_names_rules_that_are_there():
    assert set(FIGURES_OF) <= {one.code for one in RULES}


@pytest.mark.parametrize("path", sorted({p for paths in FIGURES_OF.values() for p in paths}))
def test_every_figure_a_rule_reads_is_in_the_default_policy(path):
    if not path.startswith("tool_ages"):
        assert list_policy_figures(build_default_policy(), path)


def test_every_figure_has_a_source_and_a_standing():
    lines = [line for one in BOOK.rules for line in one.figures]

    assert lines
    assert all(line.source and line.status and line.value for line in lines)


def test_the_table_of_ratios_reads_as_it_was_published():
    # NSPCC Learning, September 2023.
    (line,) = [x for x in rule("SUP-1").figures if x.set_code == "NSPCC-2023"]

    assert line.value.startswith(
        "under 2 years 1 to 3; to 3 years 1 to 4; to 8 years 1 to 6; to 12 years 1 to 8; "
        "to 18 years 1 to 10; at least 2 adults"
    )


def test_a_figure_names_the_set_it_is_from_and_the_strictest_holds():
    strict = change_figures(get_rule_set("SITE-1"), {"company.people_per_first_aider": "10"})
    book = build_rule_book(build_policy((get_rule_set("NSPCC-2023"), strict)))
    line = next(one for one in book.rules if one.code == "FA-1").figures[0]

    assert (line.label, line.value, line.set_code) == (
        "people to one first aider", "10", "SITE-1",
    )  # fmt: skip


def test_ages_and_units_are_written_out():
    assert figure("LOD-1", "heaviest load carried").value == (
        "to 7 years 2 kg; to 11 years 3 kg; to 13 years 5 kg; to 15 years 8 kg; to 17 years 10 kg; "
        "older 16 kg"
    )


def test_the_matrix_has_every_age_and_the_marks_of_the_reference():
    # people-and-safety.md 2b: hand auger 14 to 15 C and T in pairs, powered auger N under 18.
    assert BOOK.tools is not None
    assert BOOK.tools.heads == (
        "under 8", "8 to 11", "12 to 13", "14 to 15", "16 to 17", "18 and over",
    )  # fmt: skip
    rows = dict(BOOK.tools.rows)
    auger = next(cells for name, cells in rows.items() if name.startswith("hand corkscrew auger"))
    powered = next(cells for name, cells in rows.items() if name.startswith("powered auger"))
    assert auger[3] == "C, T, in pairs"
    assert [cell[0] for cell in powered[:5]] == ["N"] * 5
    assert powered[5].startswith("OK, T")


def test_a_policy_without_a_part_prints_none_of_it():
    book = build_rule_book(build_policy((get_rule_set("NSPCC-2023"),)))

    assert book.tools is None
    assert next(one for one in book.rules if one.code == "WEA-1").figures == ()


def test_nothing_says_legal_minimum():
    words = [one.sentence + one.source for one in BOOK.rules]
    words += [line.value + line.source for one in BOOK.rules for line in one.figures]

    assert "legal minimum" not in " ".join(words).lower()
