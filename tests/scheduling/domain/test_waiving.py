"""What may be set aside, and that a mark belongs to one finding only."""

from dataclasses import replace

import pytest

from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rules import RULES
from scheduling.domain.waiving import mark_finding, why_not_waivable

FINDING = Finding(
    rule="CRW-1",
    severity=Severity.BLOCKS,
    text="Round 1, “Weed”: 1 of the 2 needed.",
    source="common practice",
    remedy="One more.",
    people=(PersonId(3), PersonId(5)),
    task=TaskId(7),
    round=0,
    required=2,
    found=1,
)


def test_the_mark_is_the_same_for_the_same_finding_in_any_order_of_people():
    turned = replace(FINDING, people=(PersonId(5), PersonId(3)))

    assert mark_finding(turned) == mark_finding(FINDING)
    assert len(mark_finding(FINDING)) == 64


@pytest.mark.parametrize(
    "change",
    [
        {"rule": "CRW-2"},
        {"text": "Round 1, “Mulch”: 1 of the 2 needed."},
        {"people": (PersonId(3),)},
        {"task": TaskId(8)},
        {"round": 1},
        {"round": None},
        {"required": 3},
        {"found": 0},
    ],
)
def test_whatever_differs_makes_another_mark(change):
    assert mark_finding(replace(FINDING, **change)) != mark_finding(FINDING)


def test_another_remedy_or_source_is_the_same_finding():
    assert mark_finding(replace(FINDING, remedy="", source="proposed")) == mark_finding(FINDING)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_finding_is_waivable_exactly_where_its_rule_says_so(rule):
    finding = replace(FINDING, rule=rule.code)

    assert (why_not_waivable(finding) == "") is rule.waivable


def test_not_allowed_cells_have_no_waiver():
    # people-and-safety.md 2b: guardian consent never lifts an N; ASVS 2.3.5, item 11.23.
    for code in ("AGE-1", "AGE-2"):
        assert f"Nobody may waive rule {code}" in why_not_waivable(replace(FINDING, rule=code))


def test_what_is_no_rule_of_the_book_or_does_not_block_is_not_waived():
    assert "Nobody may waive rule PRE-1" in why_not_waivable(replace(FINDING, rule="PRE-1"))
    warns = replace(FINDING, severity=Severity.WARNS)
    assert "nothing to waive" in why_not_waivable(warns)
