"""Figures of a rule set listed and changed one by one; the rest of the set stays as it was."""

from dataclasses import is_dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.domain.figures import (
    FigureRefused,
    change_figures,
    describe_bands,
    list_figures,
    show_value,
)
from scheduling.domain.rule_set import Combining, RatioBand, Watch
from scheduling.domain.rule_sets import RULE_SETS, get_rule_set

NSPCC, SITE = get_rule_set("NSPCC-2023"), get_rule_set("SITE-1")


def at(rules, path):
    """Return what stands at a path, walked by hand."""
    for name in path.split("."):
        rules = rules[int(name)] if isinstance(rules, tuple) else getattr(rules, name)
    return rules


def shown(rules):
    return {figure.path: figure.shown for figure in list_figures(rules)}


@pytest.mark.parametrize("rules", RULE_SETS, ids=lambda rules: rules.code)
def test_every_figure_listed_is_the_one_that_stands_there_and_has_a_source(rules):
    figures = list_figures(rules)

    assert len({figure.path for figure in figures}) == len(figures) > 0
    for figure in figures:
        assert at(rules, figure.path) == figure.value
        assert not is_dataclass(figure.value)
        assert figure.source
        assert figure.status


def test_the_published_ratios_are_among_the_figures():
    # NSPCC Learning, September 2023: under 2 1:3; 2-3 1:4; 4-8 1:6; 9-12 1:8; 13-18 1:10.
    ratios = {f.group: f.value for f in list_figures(NSPCC) if f.path.endswith(".per_adult")}

    assert ratios == {
        "under 2 years": 3, "to 3 years": 4, "to 8 years": 6, "to 12 years": 8, "to 18 years": 10,
    }  # fmt: skip


@pytest.mark.parametrize("rules", RULE_SETS, ids=lambda rules: rules.code)
def test_typing_back_what_is_shown_changes_nothing(rules):
    assert change_figures(rules, shown(rules)) == rules


def test_one_change_touches_one_figure():
    changed = change_figures(SITE, {"company.adults_in_sight": " 3 "})

    before, after = shown(SITE), shown(changed)
    assert {path for path in before if before[path] != after[path]} == {"company.adults_in_sight"}
    assert changed.company is not None
    assert changed.company.adults_in_sight == 3
    assert (changed.code, changed.version) == (SITE.code, SITE.version)


def test_words_numbers_and_choices_become_what_they_stand_for():
    changed = change_figures(
        SITE,
        {
            "company.first_aider_counts": "yes",
            "loads.lifting_index_most": "0.8",
            "loads.carry_kg.0.figure": "1",
            "tool_ages.rows.0.cells.0.watch": "N",
        },
    )
    ratios = change_figures(NSPCC, {"supervision.combining": "sections"})

    assert changed.company.first_aider_counts is True
    assert changed.loads.lifting_index_most == 0.8
    assert changed.loads.carry_kg[0].figure == 1
    assert changed.tool_ages.rows[0].cells[0].watch is Watch.NOT_ALLOWED
    assert ratios.supervision.combining is Combining.SECTIONS


@pytest.mark.parametrize(
    ("path", "typed", "said"),
    [
        ("company.adults_in_sight", "two", "must be a whole number"),
        ("company.adults_in_sight", "2.5", "must be a whole number"),
        ("company.adults_in_sight", "-1", "must be from 0 to 100000"),
        ("loads.lifting_index_most", "nan", "must be from 0"),
        ("loads.lifting_index_most", "", "must be a number such as 1.5"),
        ("company.first_aider_counts", "maybe", "it is yes or no"),
        ("tool_ages.rows.0.cells.0.watch", "X", "it is one of N, C, S, OK"),
        ("company.no_such_figure", "1", "has no figure “company.no_such_figure”"),
        ("supervision.least_adults", "2", "has no figure"),
        ("company.__class__", "1", "has no figure"),
        ("heat.moderate_unacclimatised.3.from_value", "33", "each must begin above"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(path, typed, said):
    with pytest.raises(FigureRefused, match=said):
        change_figures(SITE, {path: typed})


def test_a_temperature_may_lie_below_zero():
    changed = change_figures(SITE, {"weather.young_stop_wind_chill_c": "-15"})

    assert changed.weather.young_stop_wind_chill_c == -15


@settings(deadline=None)  # a busy machine is not a fault
@given(st.data())
def test_any_whole_figure_that_is_taken_is_shown_as_it_was_typed(data):
    whole = [f for f in list_figures(SITE) if f.kind == "whole"]
    assert whole
    figure = data.draw(st.sampled_from(whole))
    typed = str(data.draw(st.integers(0, 500)))

    changed = change_figures(SITE, {figure.path: typed})

    assert shown(changed)[figure.path] == typed
    assert {**shown(changed), figure.path: figure.shown} == shown(SITE)


def test_values_are_shown_without_needless_zeros():
    assert [show_value(v) for v in (True, False, 1.0, 2.5, 7, Watch.CONSTANT)] == [
        "yes", "no", "1", "2.5", "7", "C",
    ]  # fmt: skip


def test_a_table_reads_as_one_line():
    bands = (RatioBand(5, 6, "Squirrels", 1, 3), RatioBand(18, 0))

    assert describe_bands(bands) == (
        "Squirrels, to 5 years 1 to 6 and 1 more, at least 3; to 18 years no number"
    )
