"""verify: for each kind of condition a roster that passes and one that does not, and the shape."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    Forbid,
    InOrder,
    MinutesAtMost,
    Notice,
    OnlyWith,
    Per,
    Reason,
    Section,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import Locate, SkillHeld
from scheduling.domain.roster import Roster, TaskUnits
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rule_set import Combining
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.rule_days import LAST, Crews, adult, child, day, person, roster, task

WHY = Reason("TST-1", "This is why.", "test", "Do that.")
P1, P2, P3 = PersonId(1), PersonId(2), PersonId(3)
T1, T2, T3 = TaskId(1), TaskId(2), TaskId(3)
DAY = day(
    [person(1), person(2), person(3)],
    [task(1, zone="lawn"), task(2, zone="lawn"), task(3, zone="bank")],
)


def judge(condition: Condition, crews: Crews, units=None) -> tuple[Finding, ...]:
    found = find_violations(DAY, (condition,), roster(crews, units))
    return tuple(finding for finding in found if finding.rule == "TST-1")


def facts(found: tuple[Finding, ...]) -> list[tuple[object, ...]]:
    return [(f.people, f.task, f.round, f.required, f.found) for f in found]


@pytest.mark.parametrize(
    ("condition", "passing", "failing"),
    [
        (
            Forbid(WHY, (P1,), (T1,), (0,)),
            {(1, 0): [2], (1, 1): [1], (2, 0): [1]},
            {(1, 0): [1, 2]},
        ),
        (Forbid(WHY, None, (T1,)), {(2, 0): [1]}, {(1, 2): [3]}),
        (Forbid(WHY, (P1,), None), {(2, 0): [2]}, {(3, 2): [1]}),
        (
            AtLeast(WHY, 1, (P1,), (T1,), Per.CREW),
            {(1, 0): [1, 2], (2, 0): [3]},
            {(1, 0): [2, 3], (2, 0): [1]},
        ),
        (AtLeast(WHY, 2, None, None, Per.CREW), {(1, 0): [1, 2]}, {(1, 0): [1], (2, 0): [2, 3]}),
        (AtLeast(WHY, 2, None, None, Per.ZONE), {(1, 0): [1], (2, 0): [2]},
         {(1, 0): [1, 2], (3, 0): [3]}),
        (AtLeast(WHY, 2, None, None, Per.ROUND), {(1, 0): [1], (3, 0): [2]},
         {(1, 0): [1, 2], (3, 1): [2]}),
        (AtLeast(WHY, 2, None, None, Per.SESSION), {(1, 0): [1], (3, 1): [2]}, {(1, 0): [1]}),
        (AtLeast(WHY, 2, None, None, Per.PERSON), {(1, 0): [1], (3, 1): [1]},
         {(1, 0): [1], (3, 1): [2], (3, 2): [2]}),
        (AtLeast(WHY, 1, (P1,), (T1,), Per.CREW, (0,), always=True),
         {(1, 0): [1]}, {(1, 1): [1]}),
        (AtMost(WHY, 1, None, (T1,), Per.CREW), {(1, 0): [1], (1, 1): [2]}, {(1, 0): [1, 2]}),
        (AtMost(WHY, 1, (P1,), None, Per.PERSON, (0, 1)),
         {(1, 0): [1], (1, 2): [1], (2, 0): [2], (2, 1): [2]}, {(1, 0): [1], (2, 1): [1]}),
        (AtMost(WHY, 1, (P1, P2), (T1, T2), Per.ROUND), {(1, 0): [1, 3], (3, 0): [2]},
         {(1, 0): [1], (2, 0): [2]}),
        (AtMost(WHY, 1, None, None, Per.ZONE), {(1, 0): [1], (3, 0): [2]},
         {(1, 0): [1], (2, 0): [2]}),
        (AtMost(WHY, 2, None, None, Per.SESSION), {(1, 0): [1], (2, 1): [2]},
         {(1, 0): [1], (2, 1): [2], (3, 2): [3]}),
        (Balance(WHY, ((P1, 6),), ((P2, 3), (P3, 4)), Per.CREW), {(1, 0): [1, 2], (1, 1): [1, 3]},
         {(1, 0): [1, 2, 3]}),
        (Balance(WHY, ((P1, 7),), ((P2, 3), (P3, 4)), Per.ZONE), {(1, 0): [1, 2], (2, 0): [3]},
         {(1, 0): [1, 2], (3, 0): [3]}),
        (OnlyWith(WHY, (P1,), ((P2, 1),), 1, Per.CREW), {(1, 0): [1, 2], (1, 1): [3]},
         {(1, 0): [1, 3], (2, 0): [2]}),
        (OnlyWith(WHY, (P1,), ((P1, 1), (P2, 2), (P3, 1)), 3, Per.CREW), {(1, 0): [1, 2]},
         {(1, 0): [1, 3]}),
        (OnlyWith(WHY, (P1,), ((P2, 1), (P3, 1)), 2, Per.ZONE), {(1, 0): [1, 2], (2, 0): [3]},
         {(1, 0): [1, 2], (3, 0): [3]}),
        (Apart(WHY, (P1,), (T1,), Per.ZONE), {(1, 0): [2], (3, 0): [1], (2, 1): [1]},
         {(1, 0): [2], (2, 0): [1]}),
        (Supervised(WHY, (P1,), (Section((P2, P3), 2),), Combining.SUM, 0, 0, Per.CREW),
         {(1, 0): [1, 2, 3], (1, 1): [1]}, {(1, 0): [2, 3], (2, 0): [1]}),
        (Supervised(WHY, (P1,), (Section((P2,), 2), Section((P3,), 2)), Combining.SECTIONS, 0, 0,
                    Per.ROUND), {(1, 0): [1, 2], (2, 1): [3, 1]}, {(1, 0): [1, 2], (2, 0): [3]}),
        (Supervised(WHY, (P1, P2), (Section((P3,), 0),), Combining.SUM, 0, 2, Per.ZONE),
         {(1, 0): [1, 3], (2, 0): [2]}, {(1, 0): [1, 3], (3, 0): [2]}),
        (Supervised(WHY, (P1,), (Section((P3,), 9),), Combining.SUM, 0, 0, Per.ROUND, (0,), (T2,)),
         {(1, 0): [1], (3, 0): [3], (2, 1): [1, 3]}, {(2, 0): [1], (1, 0): [3]}),
        (MinutesAtMost(WHY, (P1,), ((T1, 15), (T2, 20)), 35),
         {(1, 0): [1], (2, 1): [1], (3, 2): [1]}, {(1, 0): [1], (2, 1): [1], (1, 2): [1]}),
        (ToolsAtMost(WHY, "auger", 2, ((T1, 1), (T2, 2))), {(1, 0): [1, 2, 3], (2, 1): [1]},
         {(1, 0): [1], (2, 0): [2]}),
    ],
)  # fmt: skip
def test_each_kind_of_condition(condition: Condition, passing: Crews, failing: Crews) -> None:
    assert judge(condition, passing) == ()
    found = judge(condition, failing)
    assert len(found) == 1
    assert found[0].severity is Severity.BLOCKS
    assert found[0].text.endswith("This is why.")
    assert (found[0].source, found[0].remedy) == ("test", "Do that.")


@pytest.mark.parametrize("severity", list(Severity))
def test_a_finding_is_as_grave_as_its_reason_says(severity: Severity) -> None:
    reason = replace(WHY, severity=severity)
    (found,) = judge(Forbid(reason, None, None), {(1, 0): [1]})
    assert found.severity is severity


def test_a_notice_is_found_whatever_the_roster() -> None:
    notice = Notice(replace(WHY, severity=Severity.WARNS), 3, 1, (P2,), T1, 2)
    for crews in ({}, {(1, 0): [1, 2]}):
        (found,) = judge(notice, crews)
        assert facts([found]) == [((2,), 1, 2, 3, 1)]
        assert (found.severity, found.text) == (Severity.WARNS, "This is why.")


@pytest.mark.parametrize(
    ("units", "broken_spots"),
    [
        ({(1, 0): 2, (2, 1): 2}, []),
        ({(1, 0): 2, (2, 0): 2}, [(2, 0, 0, 2)]),
        ({(1, 0): 2, (2, 2): 1}, [(1, None, 2, 1)]),
        ({(1, 2): 1}, [(1, None, 1, 0)]),
    ],
)
def test_close_out(
    units: dict[tuple[int, int], int], broken_spots: list[tuple[object, ...]]
) -> None:
    found = judge(CloseOut(WHY, T1, T2), {}, units)
    assert [(f.task, f.round, f.required, f.found) for f in found] == broken_spots


@pytest.mark.parametrize(
    ("crews", "units", "broken_rounds"),
    [
        ({(1, 0): [1], (2, 1): [2]}, {(1, 0): 3}, []),
        ({(2, 1): [2]}, {(1, 0): 2}, [1]),
        ({(2, 0): [2], (2, 2): [2]}, {(1, 0): 3}, [0]),  # in the same round is too soon
        ({}, {}, []),
    ],
)
def test_in_order(
    crews: Crews, units: dict[tuple[int, int], int], broken_rounds: list[int]
) -> None:
    found = judge(InOrder(WHY, first=T1, units=3, then=T2), crews, units)
    assert [finding.round for finding in found] == broken_rounds


def test_facts_of_findings() -> None:
    assert facts(judge(Forbid(WHY, (P1,), None), {(1, 0): [1, 2]})) == [((1,), 1, 0, 0, 1)]
    crew = {(2, 1): [2, 3]}
    assert facts(judge(AtLeast(WHY, 3, None, None, Per.CREW), crew)) == [((2, 3), 2, 1, 3, 2)]
    assert facts(judge(AtMost(WHY, 1, None, None, Per.CREW), crew)) == [((2, 3), 2, 1, 1, 2)]
    # 7 shares at 6 an adult are two adults, and one is there.
    balance = Balance(WHY, ((P1, 6),), ((P2, 3), (P3, 4)), Per.CREW)
    assert facts(judge(balance, {(1, 0): [1, 2, 3]})) == [((2, 3), 1, 0, 2, 1)]
    nobody = Balance(WHY, (), ((P2, 3),), Per.CREW)
    assert facts(judge(nobody, {(1, 0): [2]})) == [((2,), 1, 0, 1, 0)]
    unlike = Balance(WHY, ((P1, 6), (P2, 5)), ((P3, 7),), Per.CREW)
    assert facts(judge(unlike, {(1, 0): [1, 3]})) == [((3,), 1, 0, 7, 6)]


def test_the_text_says_where_who_and_how_many() -> None:
    (found,) = judge(AtLeast(WHY, 2, None, None, Per.CREW), {(1, 1): [3]})
    assert found.text == "Round 2, “Task 1”: 1 where at least 2 are needed (P3). This is why."


def shape(crews: Crews, units=None, problem=DAY) -> list[tuple[str, object]]:
    found = find_violations(problem, (), roster(crews, units))
    return [(f.rule, f.task if f.task is not None else f.people) for f in found]


def test_a_plain_roster_has_no_findings() -> None:
    # Three adults for 30 minutes: 900 points, 9 units of 100.
    assert shape({(1, 0): [1, 2, 3]}, {(1, 0): 4, (1, 1): 5}) == []


@pytest.mark.parametrize(
    ("crews", "units", "codes"),
    [
        ({(1, 0): [1], (2, 0): [1]}, {}, [("ONE-1", 1)]),
        ({(1, 0): [9]}, {}, [("IDS-1", (9,))]),
        ({(9, 0): [1]}, {}, [("IDS-1", 9)]),
        ({(1, 3): [1]}, {}, [("IDS-1", ())]),
        ({(1, -1): [1]}, {}, [("IDS-1", ())]),
        ({}, {(9, 0): 1}, [("IDS-1", 9)]),
        ({(1, 0): [1, 2, 3], (1, 1): [1, 2, 3]}, {(1, 0): 9, (1, 1): 2}, [("UNI-1", 1)]),
        ({(1, 0): [1]}, {(1, 0): 4}, [("UNI-1", 1)]),  # 400 points wanted, 300 put in
        ({(1, 1): [1]}, {(1, 0): 3}, [("UNI-1", 1)]),  # before anybody worked at it
        ({(2, 0): [1]}, {(1, 0): 1}, [("UNI-1", 1)]),  # at another task
        ({(1, 0): [1]}, {(1, 0): -1}, [("UNI-1", 1)]),
    ],
)
def test_shape(
    crews: Crews, units: dict[tuple[int, int], int], codes: list[tuple[str, object]]
) -> None:
    assert shape(crews, units) == codes


def test_half_units_and_double_lines_are_refused() -> None:
    half = Roster((), (TaskUnits(T1, 0, 0.5),))  # type: ignore[arg-type]
    assert any("units are whole" in f.text for f in find_violations(DAY, (), half))
    twice = Roster((), (TaskUnits(T1, 0, 0), TaskUnits(T1, 0, 0)))
    assert "2 times" in find_violations(DAY, (), twice)[0].text


def test_people_who_are_not_there() -> None:
    problem = day([person(1, present=(True, False, True))])
    assert shape({(1, 0): [1], (1, 2): [1]}, problem=problem) == []
    assert shape({(1, 1): [1]}, problem=problem) == [("PRE-1", 1)]


def test_time_put_in_carries_over_and_young_people_count_at_their_pace() -> None:
    # 30 minutes at 40 % of an adult's pace are 120 points.
    problem = day([adult(1), child(2, 9)], [task(1, points_per_unit=420)])
    assert shape({(1, 0): [1, 2]}, {(1, 1): 1}, problem) == []
    dearer = replace(problem, tasks=(task(1, points_per_unit=421),))
    assert shape({(1, 0): [1, 2]}, {(1, 1): 1}, dearer) == [("UNI-1", 1)]


def test_what_hurts_most_comes_first() -> None:
    people = [adult(1), child(2, 15, consents=()), adult(3, checked=False)]
    tasks = [
        task(1, opens_ground=True, crew_least=4),
        task(2, closes=1),
    ]
    problem = day(people, tasks)
    found = find_violations(problem, all_conditions(problem), roster({(1, 0): [2, 3]}, {(1, 0): 1}))
    ranks = [list(Severity).index(f.severity) for f in found]  # blocks, warns, notes
    assert ranks == sorted(ranks)
    codes = list(dict.fromkeys(f.rule for f in found if f.severity is Severity.BLOCKS))
    assert codes == ["SUP-1", "SUP-2", "SUP-3", "CLO-1", "LOC-1", "FA-1", "CON-1", "LED-1", "CRW-1"]


def test_a_good_day_passes_every_rule() -> None:
    lead = adult(1, skills=("lead", "auger"))
    aider = adult(2, skills=("first_aid",))
    problem = day(
        [lead, aider, adult(5), child(3, 9, guardian=2), child(4, 15)],
        [
            task(1, opens_ground=True, heavy=True, minimum_age=14, skills={"auger": 1},
                 zone="lawn", crew_least=2, crew_most=4),
            task(2, closes=1, zone="lawn"),
            task(3, zone="lawn"),
        ],
        locates=[Locate("L1", LAST.replace(month=1), LAST, ("lawn",))],
    )  # fmt: skip
    good = roster({(3, 0): [1, 2, 3, 4, 5]}, {(3, 0): 7})
    found = find_violations(problem, all_conditions(problem), good)
    assert [f.rule for f in found if f.severity is Severity.BLOCKS] == []


ALL = day(
    [
        adult(1, skills=("lead", "first_aid")),
        adult(2, skills=("lead",)),
        adult(3, checked=False, skills=("first_aid",)),
        child(4, 9, guardian=1),
        child(5, 15),
        child(6, 16, skills=("first_aid",)),
    ],
    [task(1, minimum_age=12, heavy=True), task(2, zone="bank", crew_least=2, crew_most=4)],
)
WHERE = st.fixed_dictionaries(
    {(p, r): st.sampled_from([None, 1, 2]) for p in range(1, 7) for r in range(3)}
)


def crews_of(where: dict[tuple[int, int], int | None]) -> Crews:
    crews: dict[tuple[int, int], list[int]] = {}
    for (who, round_), what in where.items():
        if what is not None:
            crews.setdefault((what, round_), []).append(who)
    return crews


@given(where=WHERE)
def test_supervision_by_an_independent_count(where: dict[tuple[int, int], int | None]) -> None:
    """Formats.md, "What holds in a roster", counted again without conditions."""
    crews = crews_of(where)
    found = find_violations(ALL, all_conditions(ALL), roster(crews))
    ages = {p.id: p.age for p in ALL.people}
    bad: set[tuple[str, int, int]] = set()
    for (what, r), crew in crews.items():
        young = [p for p in crew if ages[p] < 18]
        if not young:
            continue
        checked = [p for p in crew if p in (1, 2)]
        shares = sum({9: 15, 15: 12, 16: 12}[ages[p]] for p in young)
        if len(checked) * 120 < shares or len(checked) * min(
            {9: 8, 15: 10, 16: 10}[ages[p]] for p in young
        ) < len(young):
            bad.add(("SUP-1", what, r))
        near = [p for p in (1, 2) if where[p, r] == what]  # each task has its own area here
        if len(near) < 2:
            bad.add(("SUP-2", what, r))
        if 4 in crew and 1 not in crew:
            bad.add(("GUA-1", what, r))
        if 4 in crew and what == 1:
            bad.add(("AGE-1", what, r))
    for r in range(3):
        at_work = [p for crew_at, crew in crews.items() if crew_at[1] == r for p in crew]
        young = [p for p in at_work if ages[p] < 18]
        # NSPCC and one lead in charge: the ratio asks for one adult here, the floor for two.
        if young and len({1, 2} & set(at_work)) < 2:
            bad.add(("SUP-1", 0, r))
    seen = {
        (f.rule, _place(f), f.round)
        for f in found
        if f.rule in {"SUP-1", "SUP-2", "GUA-1", "AGE-1"}
    }
    assert seen == bad


def _place(finding: Finding) -> int:
    """Return the task of a finding, the area's task, or 0 for a whole round."""
    if finding.task is not None:
        return finding.task
    return 1 if "area lawn" in finding.text else 2 if "area bank" in finding.text else 0


@given(where=WHERE)
def test_a_checked_adult_more_never_breaks_supervision(
    where: dict[tuple[int, int], int | None],
) -> None:
    codes = {"SUP-1", "SUP-2", "SUP-3"}
    before = crews_of(where)
    extra = replace(adult(7), skills=(SkillHeld("lead", LAST),))
    problem = replace(ALL, people=(*ALL.people, extra))
    after = {spot: [*crew, 7] for spot, crew in before.items()}

    def broken_spots(crews: Crews) -> set[tuple[object, ...]]:
        found = find_violations(problem, all_conditions(problem), roster(crews))
        return {(f.rule, f.task, f.round) for f in found if f.rule in codes}

    assert broken_spots(after) <= broken_spots(before)
