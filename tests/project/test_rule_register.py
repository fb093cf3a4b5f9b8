"""Every rule file is in the register, tested, and opens with the sentence it keeps."""

import importlib
import re
from pathlib import Path

import pytest

from orchard.domain.errors import RosterError
from scheduling.domain import roster_shape, rules
from scheduling.domain.policy import build_default_policy
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule import Rule
from scheduling.domain.rules import RULES, all_conditions, get_rule
from scheduling.domain.verify import GRAVEST_FIRST

FOLDER = Path(rules.__file__).parent
TESTS = Path(__file__).parent.parent / "scheduling" / "domain" / "rules"
FILES = sorted(path.stem for path in FOLDER.glob("*.py") if path.stem != "__init__")
STATUSES = {"published", "reprint", "common practice", "proposed"}


def module_name(rule: Rule) -> str:
    return type(rule).__module__.rsplit(".", 1)[-1]


def test_every_file_is_registered_once_and_nothing_else_is() -> None:
    assert sorted(module_name(rule) for rule in RULES) == FILES


def test_codes_are_unique_and_well_formed() -> None:
    codes = [rule.code for rule in RULES]
    assert len(set(codes)) == len(codes)
    assert all(re.fullmatch(r"[A-Z]{2,3}-[1-9]", code) for code in codes)
    shape = {roster_shape.KNOWN, roster_shape.ONE_TASK, roster_shape.PRESENT, roster_shape.UNITS}
    assert not shape & set(codes)


def test_the_rule_book_has_the_rules_the_site_was_promised() -> None:
    assert {rule.code for rule in RULES} >= {
        "AGE-1", "AGE-2", "SKL-1", "SUP-1", "SUP-2", "SUP-3", "SUP-4", "GUA-1", "CON-1", "GRP-1",
        "CRW-1", "LED-1", "FA-1", "RST-1", "HVY-1", "TOL-1", "LOC-1", "CLO-1", "PWR-1", "PWR-2",
        "KNE-1", "STR-1", "HAV-1", "HAV-2", "LOD-1", "LIF-1", "WEA-1", "FAC-1", "CAP-1", "INS-1",
        "TRE-1", "CTM-1", "SOI-1", "HOL-1", "DAY-1",
    }  # fmt: skip


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rule_says_what_it_keeps_and_where_from(rule: Rule) -> None:
    module = importlib.import_module(type(rule).__module__)
    told = " ".join((module.__doc__ or "").split())
    assert told.startswith(rule.sentence)
    assert rule.sentence.endswith(".")
    assert rule.source
    assert rule.status in STATUSES
    assert isinstance(rule.waivable, bool)
    assert rule.applies_to
    assert "legal minimum" not in (told + rule.source).lower()


def test_what_no_reason_lifts_may_not_be_waived() -> None:
    # Cells marked N, supervision of young people, locates, close-out, vibration, weather, ground.
    never = {
        "AGE-1", "AGE-2", "SUP-1", "SUP-2", "SUP-3", "SUP-4", "GUA-1", "CON-1", "LOC-1", "CLO-1",
        "RST-1", "PWR-1", "PWR-2", "HAV-2", "WEA-1", "CTM-1",
    }  # fmt: skip
    assert [rule.code for rule in RULES if rule.code in never and rule.waivable] == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rule_has_a_test_file_that_names_it(rule: Rule) -> None:
    path = TESTS / f"test_{module_name(rule)}.py"
    assert path.exists()
    assert path.read_text().startswith(f'"""{rule.code}: ')


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_verify_knows_how_grave_each_rule_is(rule: Rule) -> None:
    assert rule.code in GRAVEST_FIRST


def test_get_rule_finds_by_code_or_says_what_there_is() -> None:
    assert all(get_rule(rule.code) is rule for rule in RULES)
    with pytest.raises(RosterError, match=r"no rule “TST-1”; its rules are AGE-1"):
        get_rule("TST-1")


def test_a_day_without_people_or_tasks_asks_for_nothing() -> None:
    policy = build_default_policy()
    on = policy.supervision.checked_on
    empty = RosterProblem("empty", on, 3, 30, (), (), (), (), (), policy, "1")
    assert {condition.reason.rule for condition in all_conditions(empty)} == {"LED-1"}
