"""Sign-up: who is let in, who is not, and what would change that, computed and tried.

But for the tests that say so, the site adds no lead to the table's number, counts
its only first aider as supervising and asks for no constant watching: one figure at a time.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from orchard.domain.plan import ToolItem
from scheduling.domain.admission import AdmissionAnswer, check_admission
from scheduling.domain.headcount import with_more_adults
from scheduling.domain.people import PersonId
from scheduling.domain.problem import Locate, RosterProblem
from scheduling.domain.rule import Finding, Severity
from tests.scheduling.domain.rule_days import (
    CLASS_5A,
    LAST,
    ON,
    adult,
    child,
    person,
    pupil,
    task,
    young,
)
from tests.scheduling.domain.rule_days import day as shipped_day

AIDER = adult(1, skills=("first_aid", "lead"))


def day(*people_and_tasks, **facts) -> RosterProblem:
    plain = {"uncommitted_leads": 0, "first_aider_counts": True, "watched_closely_per_adult": 0}
    return shipped_day(*people_and_tasks, **{**plain, **facts})


def ask(problem: RosterProblem, *newcomers: int) -> AdmissionAnswer:
    return check_admission(problem, tuple(PersonId(n) for n in newcomers))


def blocks(answer: AdmissionAnswer) -> list[Finding]:
    return [f for f in answer.findings if f.severity is Severity.BLOCKS]


def rules(answer: AdmissionAnswer) -> list[str]:
    return [finding.rule for finding in blocks(answer)]


def test_a_grown_up_is_let_in() -> None:
    answer = ask(day([AIDER, person(2)]), 2)
    assert answer == AdmissionAnswer(True, ())


def test_the_first_of_all_is_let_in_though_the_day_lacks_everything() -> None:
    answer = ask(day([person(2)], [task(1, skills={"auger": 1}, crew_least=3)]), 2)
    assert answer.allowed
    assert {f.rule for f in answer.findings} == {"FA-1", "SKL-1", "LED-1", "CRW-1"}
    assert {f.severity for f in answer.findings} == {Severity.NOTES}


# --- refusals that name a person -------------------------------------------


def test_no_task_at_all_blocks_with_every_reason_once() -> None:
    mia = child(2, 9, name="Mia", guardian=1, consents=())
    problem = day([AIDER, adult(3), mia], [task(1, minimum_age=16), task(2, minimum_age=16)])
    answer = ask(problem, 2)
    assert not answer.allowed
    assert [(f.rule, f.text) for f in blocks(answer)] == [
        ("AGE-1", "Mia is 9; only people of 16 or over work at “Task 1” and “Task 2”."),
        ("CON-1", "No guardian's consent is on file for Mia."),
    ]


def test_one_task_left_in_one_round_is_enough() -> None:
    mia = child(2, 9, guardian=1, present=(False, False, True))
    problem = day([AIDER, adult(3), mia], [task(1, minimum_age=16), task(2)])
    assert ask(problem, 2).allowed
    answer = ask(replace(problem, tasks=problem.tasks[:1]), 2)
    assert rules(answer) == ["AGE-1"]


def test_guardian_and_child_ask_together() -> None:
    lone = child(2, 9, guardian=7)
    others = [AIDER, adult(3)]
    assert rules(ask(day([*others, lone]), 2)) == ["GUA-1"]
    assert ask(day([*others, adult(7, checked=False), lone]), 2, 7).allowed


def test_a_child_who_stays_longer_than_the_guardian_is_blocked() -> None:
    guardian = adult(7, name="Ana B.", present=(True, True, False))
    answer = ask(day([AIDER, adult(3), guardian, child(2, 9, guardian=7)]), 2)
    assert rules(answer) == ["GUA-1"]
    assert "round 3 would have 0 of the 1 needed" in blocks(answer)[0].text


def test_no_round_chosen() -> None:
    answer = ask(day([AIDER, person(2, present=(False, False, False))]), 2)
    assert rules(answer) == ["PRE-1"]


def test_before_any_work_is_planned_consent_is_asked_all_the_same() -> None:
    problem = replace(day([AIDER, adult(3), child(2, 15), child(4, 15, consents=())]), tasks=())
    assert ask(problem, 2).allowed
    assert rules(ask(problem, 4)) == ["CON-1"]


def test_work_that_waits_for_the_site_warns_and_does_not_block() -> None:
    problem = day([AIDER, person(2)], [task(1, opens_ground=True), task(2, closes=1)])
    closed = replace(problem, tasks=problem.tasks[:1])
    answer = ask(closed, 2)
    assert answer.allowed
    warned = [(f.rule, f.people) for f in answer.findings if f.severity is Severity.WARNS]
    assert warned == [("CLO-1", (2,)), ("LOC-1", (2,))]
    located = replace(problem, locates=(Locate("L1", ON, LAST, ("lawn",)),))
    assert not [f for f in ask(located, 2).findings if f.severity is Severity.WARNS]


# --- supervision -----------------------------------------------------------


@pytest.mark.parametrize(
    ("adults", "ages", "more"),
    [
        # NSPCC Learning, September 2023: 24 of 7 need 4, 25 need 5; 5 of 15 need the floor of 2.
        (4, [7] * 24, 0),
        (4, [7] * 25, 1),
        (1, [15] * 5, 1),
        (0, [15] * 3, 2),
        (2, [7] * 24, 2),
        # 7/6 + 9/8 + 12/10 = 3.49: four.
        (3, [7] * 7 + [10] * 9 + [15] * 12, 1),
    ],
)
def test_young_people_and_the_adults_there(adults: int, ages: list[int], more: int) -> None:
    grown = [adult(n) for n in range(adults)]
    # Guardians of under-12s come along, unchecked: they do not count (NSPCC, parents).
    new = [child(200 + n, age, guardian=500 + n) for n, age in enumerate(ages)]
    guardians = [adult(500 + n, checked=False) for n, age in enumerate(ages) if age < 12]
    problem = day([*grown, *new, *guardians], people_per_first_aider=1000)
    answer = ask(problem, *(p.id for p in new))
    assert answer.allowed is (more == 0)
    if more:
        word = {1: "One more checked adult", 2: "Two more checked adults"}[more]
        how_many = {3: "three", 5: "five"}.get(len(ages), str(len(ages)))
        assert {f.remedy for f in blocks(answer)} == {f"{word} and these {how_many} can come."}


def test_one_more_checked_adult_and_these_three_can_come() -> None:
    problem = day([AIDER, *young(10, 15, 3)])
    answer = ask(problem, 10, 11, 12)
    assert rules(answer) == ["SUP-1", "SUP-2"]
    for finding in blocks(answer):
        assert (finding.required, finding.found, finding.people) == (2, 1, (10, 11, 12))
        assert finding.remedy == "One more checked adult and these three can come."
    assert ask(replace(problem, people=(*problem.people, adult(99))), 10, 11, 12).allowed


def test_the_remedy_does_not_promise_what_other_rules_forbid() -> None:
    problem = day([AIDER, child(10, 15, name="Leo", consents=())])
    answer = ask(problem, 10)
    assert rules(answer) == ["SUP-1", "SUP-2", "SUP-3", "CON-1"]
    assert blocks(answer)[0].remedy == "One more checked adult and that is enough of them for Leo."


def test_the_worst_round_decides_and_all_short_rounds_are_named() -> None:
    second = adult(2, present=(True, False, False))
    third = adult(3, checked=False)
    problem = day([AIDER, second, third, child(10, 15)])
    found = blocks(ask(problem, 10))
    assert [f.rule for f in found] == ["SUP-1", "SUP-2"]
    assert all("rounds 2 and 3 would have 1 of the 2 needed" in f.text for f in found)
    early = replace(
        problem, people=(*problem.people[:3], child(10, 15, present=(True, False, False)))
    )
    assert ask(early, 10).allowed


def test_an_adult_is_never_blocked_for_the_young_people_already_there() -> None:
    problem = day([AIDER, *young(10, 15, 15), adult(2, checked=False)])
    assert ask(problem, 2).allowed
    assert not ask(problem, 10).allowed


def test_a_class_asks_as_one() -> None:
    pupils = [pupil(100 + n, 10) for n in range(17)]  # 17/8: three adults
    staff = [adult(50, staff_of=CLASS_5A.id), adult(51, staff_of=CLASS_5A.id)]
    everyone = [p.id for p in (*pupils, *staff)]
    alone = ask(day([AIDER, *pupils]), *everyone[:17])
    assert rules(alone) == ["SUP-1", "SUP-1", "SUP-2", "GRP-1"]
    assert blocks(alone)[3].people == tuple(everyone[:17])
    assert ask(day([AIDER, *pupils, *staff]), *everyone).allowed
    unchecked = [replace(p, checked=False) for p in staff]
    answer = ask(day([AIDER, *pupils, *unchecked]), *everyone)
    assert rules(answer) == ["SUP-1", "SUP-1", "SUP-2"]
    assert blocks(answer)[0].remedy == "Two more checked adults and these 19 can come."


def test_the_sites_own_lead_comes_on_top_and_its_only_first_aider_does_not_count() -> None:
    # As shipped: ceil(3/10) + 1 in charge = 2, and who may have to help is not one of them.
    new = young(10, 15, 3)
    assert ask(shipped_day([adult(2), adult(3), AIDER, *new]), 10, 11, 12).allowed
    answer = ask(shipped_day([adult(2), AIDER, *new]), 10, 11, 12)
    assert rules(answer) == ["SUP-1", "SUP-2"]
    assert [(f.required, f.found) for f in blocks(answer)] == [(2, 1), (2, 1)]
    two_aiders = [adult(2, skills=("first_aid",)), AIDER]
    assert ask(shipped_day([*two_aiders, *new]), 10, 11, 12).allowed


def test_constant_watching_refuses_only_where_there_is_no_other_work() -> None:
    # Seven of 11 weeding need two adults at arm's reach; measuring asks for one in eight.
    weeding, measuring = task(1, kind="weed"), task(2, kind="measure")
    new = [pupil(100 + n, 11) for n in range(7)]
    staff = [adult(50, staff_of=CLASS_5A.id, checked=False), AIDER, adult(51)]
    plain = {"smallest_crew_with_young": 1, "watched_closely_per_adult": 3}
    ids = [p.id for p in new]
    answer = ask(day([*staff, *new], [weeding], **plain), *ids)
    assert rules(answer) == ["SUP-4"]
    assert blocks(answer)[0].remedy == "One more checked adult and these seven can come."
    assert ask(day([*staff, *new], [weeding, measuring], **plain), *ids).allowed


# --- first aid -------------------------------------------------------------


def test_the_twenty_sixth_person_needs_a_second_first_aider() -> None:
    people = [AIDER, *(person(n) for n in range(2, 27))]
    answer = ask(day(people), 26)
    (finding,) = blocks(answer)
    assert (finding.rule, finding.required, finding.found) == ("FA-1", 2, 1)
    assert finding.remedy == "One more first aider and P26 can come."
    assert ask(day(people[:-1]), 25).allowed
    assert ask(day([*people[:-1], adult(26, skills=("first_aid",))]), 26).allowed


def test_first_aid_that_was_missing_before_is_noted_and_blocks_nobody() -> None:
    answer = ask(day([person(1), person(2)]), 2)
    assert answer.allowed
    assert [(f.rule, f.severity) for f in answer.findings if f.rule == "FA-1"] == [
        ("FA-1", Severity.NOTES)
    ]


# --- notes -----------------------------------------------------------------


def test_skills_nobody_brings_are_notes() -> None:
    auger = ToolItem("auger", "hand auger", 2, 14)
    boring = task(2, tools={"auger": 2}, skills={"auger": 1})
    problem = day([AIDER, adult(2), child(3, 13)], [task(1), boring], tools=[auger])
    answer = ask(problem, 3)
    assert answer.allowed
    assert [(f.rule, f.required, f.found) for f in answer.findings] == [("SKL-1", 1, 0)]


def test_somebody_the_session_does_not_know() -> None:
    with pytest.raises(RosterError, match="Nobody with number 9"):
        ask(day([AIDER]), 9)


# --- properties ------------------------------------------------------------

AGES = st.lists(st.integers(12, 17), min_size=1, max_size=30)


@settings(max_examples=60)
@given(ages=AGES, adults=st.integers(0, 5))
def test_the_number_said_is_the_smallest_that_clears(ages: list[int], adults: int) -> None:
    new = [child(100 + n, age) for n, age in enumerate(ages)]
    problem = day([*(adult(n) for n in range(adults)), *new], people_per_first_aider=1000)
    ids = tuple(p.id for p in new)
    answer = check_admission(problem, ids)
    needed = next(
        more
        for more in range(10)
        if check_admission(with_more_adults(problem, more, ""), ids).allowed
    )
    assert answer.allowed is (needed == 0)
    said = {1: "One", 2: "Two", 3: "Three", 4: "Four"}
    for finding in blocks(answer):
        assert finding.remedy.startswith(said[needed] + " more checked adult")


@settings(max_examples=60)
@given(ages=AGES, adults=st.integers(0, 5), more=st.integers(12, 17))
def test_a_young_person_more_never_clears_and_an_adult_more_never_blocks(
    ages: list[int], adults: int, more: int
) -> None:
    def allowed(young_ages: list[int], grown: int) -> bool:
        new = [child(100 + n, age) for n, age in enumerate(young_ages)]
        problem = day([*(adult(n) for n in range(grown)), *new], people_per_first_aider=1000)
        codes = {f.rule for f in check_admission(problem, tuple(p.id for p in new)).findings}
        return not codes & {"SUP-1", "SUP-2"}

    assert allowed(ages, adults) <= allowed(ages, adults + 1)
    assert allowed([*ages, more], adults) <= allowed(ages, adults)
