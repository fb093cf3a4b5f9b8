"""Each sentence of `day-problem/1`: a roster that keeps it, one that breaks it.

The judge names the sentence; the planner, with everybody fixed so, finds the
one possible and the other impossible.
"""

from dataclasses import dataclass, field, replace

import pytest

from scheduling.domain.documents.answers import roster_of
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.people import Restriction
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import SolveStatus
from tests.scheduling.domain.documents.small_documents import (
    LAPSED,
    LAST_DAY,
    RULES,
    answer,
    day,
    person,
    task,
)

LEAD = person("lead", holds=("lead",))
AIDER = person("aider", holds=("first aid",))  # free all day unless a row says otherwise
CHECKED = person("checked", checked=True, holds=("lead",))
SECOND = person("second", checked=True)
PUPILS = tuple(person(f"pupil{n}", age=13, group="G0") for n in range(3))
BOYS = tuple(person(f"boy{n}", age=13) for n in range(2))
NO_ADULTS_ASKED = replace(RULES, checked_adults_per_zone=0, supervision_weights=(0, 0, 0, 0))


@dataclass(frozen=True)
class Case:
    """One sentence: who and what there is, rows that keep it, rows that break it."""

    rule: str
    people: tuple
    tasks: tuple
    right: dict
    wrong: dict
    rules: object = RULES
    facts: dict = field(default_factory=dict)


CASES = [
    Case("present", (replace(LEAD, present=(True, False)),), (task("t"),),
         {"lead": "t -"}, {"lead": "- t"}),
    Case("age", (LEAD, replace(LEAD, id="young", age=20)), (task("t", minimum_age=21),),
         {"lead": "t -"}, {"young": "t -"}),
    Case("restriction", (LEAD, replace(LEAD, id="asks", restrictions=(Restriction.NO_LIFTING,))),
         (task("t", heavy=True),), {"lead": "t -"}, {"asks": "t -"}),
    Case("restriction", (LEAD, replace(LEAD, id="asks", restrictions=(Restriction.NO_KNEELING,))),
         (task("t", kneeling=True),), {"lead": "t -"}, {"asks": "t -"}),
    Case("kneeling", (replace(LEAD, restrictions=(Restriction.NO_LONG_KNEELING,)),),
         (task("t", kneeling=True),), {"lead": "t -"}, {"lead": "t t"},
         replace(RULES, long_kneeling_rounds=1)),
    Case("crew size", (LEAD, SECOND), (task("t", crew_min=2),),
         {"lead": "t -", "second": "t -"}, {"lead": "t -"}),
    Case("crew size", (LEAD, SECOND), (task("t", crew_max=1),),
         {"lead": "t -"}, {"lead": "t -", "second": "t -"}),
    Case("lead", (replace(LEAD, skills=(("lead", LAST_DAY),)),
                  replace(LEAD, id="lapsed", skills=(("lead", LAPSED),))),
         (task("t"),), {"lead": "t -"}, {"lapsed": "t -"}),
    Case("skill", (person("saws", holds=("lead", "saw")), LEAD), (task("t", skills=(("saw", 1),)),),
         {"saws": "t -"}, {"lead": "t -"}),
    Case("tools", (LEAD, replace(LEAD, id="other")),
         (task("s", tools=(("hoe", 1),)), task("t", tools=(("hoe", 1),))),
         {"lead": "s -", "other": "- t"}, {"lead": "s -", "other": "t -"},
         facts={"tools": (("hoe", 1),)}),
    Case("supervision", (CHECKED, SECOND, LEAD, *BOYS), (task("t"), task("s")),
         {"checked": "t -", "second": "t -", "boy0": "t -", "boy1": "t -"},
         {"checked": "t -", "second": "s -", "lead": "s -", "boy0": "t -", "boy1": "t -"},
         replace(RULES, supervision_denominator=20)),
    Case("zone", (CHECKED, SECOND, person("boy", age=13)), (task("t", zone=1), task("s", zone=2)),
         {"checked": "t -", "second": "t -", "boy": "t -"},
         {"checked": "t -", "aider": "t -", "boy": "t -"}),
    Case("young crew", (LEAD, SECOND, person("boy", age=17)), (task("t"),),
         {"lead": "t -", "second": "t -", "boy": "t -"}, {"lead": "t -", "boy": "t -"},
         NO_ADULTS_ASKED),
    Case("guardian", (LEAD, SECOND, person("girl", age=11, guardian="second")), (task("t"),),
         {"lead": "t -", "second": "t -", "girl": "t -"},
         {"lead": "t -", "aider": "t -", "girl": "t -"}, NO_ADULTS_ASKED),
    Case("class part", (replace(LEAD, staff_of="G0"), *PUPILS), (task("t"),),
         {"lead": "t -", "pupil0": "t -", "pupil1": "t -", "pupil2": "t -"},
         {"lead": "t -", "pupil0": "t -", "pupil1": "t -"}, NO_ADULTS_ASKED),
    Case("class staff", (replace(LEAD, staff_of="G0"), CHECKED, *PUPILS), (task("t"),),
         {"lead": "t -", "pupil0": "t -", "pupil1": "t -", "pupil2": "t -"},
         {"checked": "t -", "pupil0": "t -", "pupil1": "t -", "pupil2": "t -"}, NO_ADULTS_ASKED),
    Case("heavy", (LEAD,), (task("t", heavy=True), task("s")), {"lead": "t s"}, {"lead": "t t"},
         replace(RULES, heavy_rounds_in_a_row=1)),
    Case("rest", (LEAD,), (task("t"),), {"lead": "t -"}, {"lead": "t t"},
         replace(RULES, rounds_before_rest=(2, 2, 2, 1))),
    Case("powered", (person("saws", holds=("lead", "saw")), LEAD),
         (task("t", skills=(("saw", 1),), powered_minutes_per_round=30),),
         {"saws": "t -", "lead": "t -"}, {"saws": "t t"}),
    Case("first aid", (person("both", holds=("lead", "first aid")), LEAD),
         (task("t", heavy=True, zone=1), task("s")), {"both": "s s", "lead": "t -"},
         {"both": "t -", "lead": "s -"}, facts={"without": "aider"}),
]  # fmt: skip


def _document(case):
    facts = dict(case.facts)
    left_out = facts.pop("without", None)
    people = [one for one in (AIDER, *case.people) if one.id != left_out]
    return day(people, case.tasks, rules=case.rules, **facts)


def _judged(document, rows):
    return [one.rule for one in judge_day(document, answer(document, rows)).broken]


def _solved(document, rows):
    """Return how the planner ends when everybody is fixed to these rows."""
    case = build_day(document)
    roster = roster_of(case, answer(document, rows))
    doing = {(cell.person, cell.round): cell.task for cell in roster.assignments}
    locks = tuple(
        (one.id, round_, doing.get((one.id, round_)))
        for one in case.problem.people
        for round_ in range(document.rounds)
    )
    problem = replace(case.problem, locks=locks)
    return solve_roster(problem, case.conditions, Limits(seconds=10, workers=1)).status


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.rule)
def test_a_sentence_is_kept_and_broken(case):
    document = _document(case)

    assert _judged(document, case.right) == []
    assert set(_judged(document, case.wrong)) == {case.rule}
    assert _solved(document, case.right) is SolveStatus.BEST
    if case.rule != "present":  # a lock on somebody absent is refused before any search
        assert _solved(document, case.wrong) is SolveStatus.IMPOSSIBLE


def test_a_class_without_staff_or_too_small_stays_idle():
    pupils = PUPILS[:2]
    document = day([LEAD, AIDER, *pupils], [task("t", required=True)], rules=NO_ADULTS_ASKED)
    case = build_day(document)

    result = solve_roster(case.problem, case.conditions, Limits(seconds=10, workers=1))

    busy = {case.person_name(cell.person) for cell in result.roster.assignments}
    assert result.status is SolveStatus.BEST
    assert busy
    assert not busy & {one.id for one in pupils}


def test_a_round_without_a_first_aider_is_impossible_even_if_nobody_works():
    document = day([LEAD, replace(AIDER, present=(True, False))], [task("t")])
    case = build_day(document)

    result = solve_roster(case.problem, case.conditions, Limits(seconds=10, workers=1))

    assert _judged(document, {}) == ["first aid"]
    assert result.status is SolveStatus.IMPOSSIBLE
    assert any("In round 2 one person with “first aid”" in line for line in result.conflicts)


def test_units_wait_for_points_and_closing_waits_for_opening():
    document = day(
        [LEAD, AIDER], [task("dig", units=2), task("fill", units=2, closes="dig")], rounds=2
    )
    rows = {"lead": "dig fill"}

    def judged(**units):
        return {one.rule for one in judge_day(document, answer(document, rows, units)).broken}

    assert judged(dig=(2, 0), fill=(0, 2)) == set()
    assert judged(dig=(2, 0), fill=(0, 1)) == {"closing"}
    assert judged(dig=(0, 2), fill=(0, 2)) == {"closing ahead"}
    assert judged(dig=(4, 0), fill=(0, 4)) == {"points", "units"}
    assert judged(dig=(2, 0), fill=(-1, 3)) == {"units"}
    assert judged(dig=(2, 0), fill=(2, 0)) == {"points", "closing ahead"}
