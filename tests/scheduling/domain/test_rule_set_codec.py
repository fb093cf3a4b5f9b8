"""Rule sets to JSON and back: nothing is lost, nothing is guessed."""

import json

import pytest

from orchard.domain.errors import RosterError
from scheduling.domain.rule_set_codec import decode_rule_set, encode_rule_set
from scheduling.domain.rule_sets import RULE_SETS, get_rule_set


@pytest.mark.parametrize("rules", RULE_SETS, ids=lambda rules: rules.code)
def test_every_shipped_set_comes_back_as_it_was(rules):
    written = json.dumps(encode_rule_set(rules))

    assert decode_rule_set(json.loads(written)) == rules


def test_days_and_choices_are_plain_words():
    encoded = encode_rule_set(get_rule_set("NSPCC-2023"))

    assert encoded["checked_on"] == "2026-11-25"
    assert encoded["supervision"]["combining"] == "sum"
    assert encoded["company"] is None


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda c: c.pop("code"), "rule set lacks “code”; give it"),
        (lambda c: c["supervision"].pop("least_adults"), "supervision lacks “least_adults”"),
        (lambda c: c["supervision"].update(least_adults="2"), "'2'; it should be a whole number"),
        (lambda c: c["supervision"].update(least_adults=True), "True; it should be a whole number"),
        (lambda c: c["supervision"].update(combining="guess"), "one of sum, youngest, sections"),
        (lambda c: c.update(checked_on="yesterday"), "'yesterday'; it should be a day as"),
        (lambda c: c.update(figure=1), "names “figure”, which this version"),
        (lambda c: c["supervision"].update(bands=3), "bands is 3; it should be a list"),
        (lambda c: c.update(supervision=[1]), "supervision is .1.; it should be named figures"),
    ],
)
def test_content_of_another_planner_is_refused_with_a_sentence(spoil, said):
    encoded = encode_rule_set(get_rule_set("NSPCC-2023"))
    spoil(encoded)

    with pytest.raises(RosterError, match=said):
        decode_rule_set(encoded)


def test_a_figure_with_a_default_may_be_missing():
    encoded = encode_rule_set(get_rule_set("NSPCC-2023"))
    del encoded["summary"]

    assert decode_rule_set(encoded).summary == ""
