"""Remedies: what is said clears the finding when it is done, and nothing smaller is passed over."""

from dataclasses import replace

import pytest

from scheduling.domain.condition import Severity
from scheduling.domain.hand_edit import move_person
from scheduling.domain.people import PersonId, Restriction, TaskId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.remedies import add_remedies, find_remedy
from scheduling.domain.roster import Roster
from scheduling.domain.rule import Finding
from scheduling.domain.rules import all_conditions, get_rule
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.rule_days import adult, child, day, person, roster, task

BOOK = ("AGE-1", "SUP-1", "SUP-2", "SUP-3", "LED-1", "CRW-1", "FA-1", "RST-1")
LEADS = [adult(n, skills=("lead", "first_aid"), name=f"Lead {n}") for n in (1, 2, 3, 4)]
ELA, BENCE = child(10, 15, name="Ela"), child(11, 15, name="Bence")
CREWS = [task(1, title="A"), task(2, title="B")]


def book(problem: RosterProblem):
    return tuple(c for code in BOOK for c in get_rule(code).conditions(problem))


def judged(problem: RosterProblem, made: Roster) -> list[Finding]:
    found = find_violations(problem, book(problem), made)
    return [f for f in found if f.severity is Severity.BLOCKS]


def remedies(problem: RosterProblem, made: Roster) -> dict[str, str]:
    conditions = book(problem)
    found = find_violations(problem, conditions, made)
    return {f.rule: f.remedy for f in add_remedies(problem, conditions, made, found)}


def moved(problem: RosterProblem, made: Roster, *moves: tuple[int, int, int | None]) -> Roster:
    for who, round_, to in moves:
        to_task = None if to is None else TaskId(to)
        made = move_person(problem, made, PersonId(who), round_, to_task)
    return made


def test_one_more_adult_or_young_people_moved() -> None:
    # NSPCC 2023, 13 to 18 years 1 to 10: eleven in crew B need two adults, crew A has room.
    more = [child(20 + n, 15) for n in range(9)]
    problem = day([*LEADS, ELA, BENCE, *more], CREWS)
    made = roster({(1, 1): [1, 3, 4], (2, 1): [2, 10, 11, *range(20, 29)]})
    said = remedies(problem, made)["SUP-1"]
    assert said == "One more checked adult at “B” in round 2, or move Lead 1 to “B” in round 2."
    assert judged(problem, made)
    assert not judged(problem, moved(problem, made, (1, 1, 2)))


def test_a_free_adult_is_asked_before_one_who_is_busy() -> None:
    problem = day([*LEADS, ELA], CREWS)
    made = roster({(1, 0): [1, 10]})
    said = remedies(problem, made)
    assert said["SUP-2"].startswith("One more checked adult at “A” in round 1, or put Lead 2, who")
    assert not judged(problem, moved(problem, made, (2, 0, 1)))


def test_someone_too_young_goes_to_other_work() -> None:
    tasks = [task(1, title="Boring", minimum_age=16), task(2, title="Weeding")]
    problem = day([*LEADS, ELA], tasks)
    made = roster({(1, 0): [1, 2, 10], (2, 0): [3, 4]})
    assert remedies(problem, made) == {"AGE-1": "Move Ela to “Weeding” in round 1."}
    assert not judged(problem, moved(problem, made, (10, 0, 2)))


def test_two_change_places_where_nobody_can_simply_move() -> None:
    tasks = [
        task(1, title="Lifting", heavy=True, crew_least=2, crew_most=2),
        task(2, title="Weeding", crew_least=2, crew_most=2),
    ]
    sore = person(5, restrictions=(Restriction.NO_LIFTING,), name="Sore")
    problem = day([*LEADS, sore, person(6, name="Fit")], tasks)
    made = roster({(1, 0): [1, 5], (2, 0): [2, 6]})
    said = remedies(problem, made)
    words = "Let Sore (“Lifting”) and Fit (“Weeding”) change places in round 1."
    assert said["RST-1"] == words
    assert not judged(problem, moved(problem, made, (5, 0, 2), (6, 0, 1)))


def test_two_must_move_where_one_is_not_enough() -> None:
    # NSPCC 2023, 9 to 12 years 1 to 8: ten with one adult are two too many, and the adult of
    # the other crew cannot leave the three there.
    small = [child(20 + n, 12, name=f"C{n}") for n in range(10)]
    tasks = [task(1, title="A"), task(2, title="B")]
    three = [child(40 + n, 12) for n in range(3)]
    problem = day([*LEADS[:2], *small, *three], tasks, uncommitted_leads=0)
    made = roster({(1, 0): [1, 40, 41, 42], (2, 0): [2, *range(20, 30)]})
    said = remedies(problem, made)["SUP-1"]
    assert "move C0 and C1 to “A” in round 1" in said
    one = moved(problem, made, (20, 0, 1))
    both = moved(problem, one, (21, 0, 1))
    assert judged(problem, one)
    assert not judged(problem, both)


def test_nothing_is_promised_that_breaks_something_else() -> None:
    # The only other crew is for sixteen and over, and nobody else is there.
    tasks = [task(1, title="A", minimum_age=16), task(2, title="B")]
    problem = day([LEADS[0], ELA], tasks)
    made = roster({(2, 0): [1, 10]})
    said = remedies(problem, made)
    assert said["SUP-3"] == (
        "One more checked adult at “B” in round 1, or leave Ela without a task in round 1."
    )


def test_a_roster_naming_somebody_who_left_and_work_that_went_is_judged_all_the_same() -> None:
    problem = day([*LEADS, ELA, BENCE], CREWS)
    made = roster({(1, 0): [1, 2, 10], (2, 1): [3, 4, 11]})
    left = replace(problem, people=tuple(p for p in problem.people if p.id != ELA.id))
    shorter = replace(left, tasks=CREWS[:1])

    for now in (left, shorter):
        told = [f.text for f in find_violations(now, book(now), made) if f.rule == "IDS-1"]
        assert any("names person 10" in text for text in told)
        assert remedies(now, made)["IDS-1"]


def test_what_only_notes_keeps_its_own_words_and_order_is_kept() -> None:
    problem = day([*LEADS, ELA], CREWS, second_adult_unrelated=True)
    made = roster({(1, 0): [1, 10]})
    conditions = all_conditions(problem)
    found = find_violations(problem, conditions, made)
    told = add_remedies(problem, conditions, made, found)
    assert [replace(f, remedy="") for f in told] == [replace(f, remedy="") for f in found]
    for before, after in zip(found, told, strict=True):
        if before.severity is not Severity.BLOCKS:
            assert before == after
    assert told == add_remedies(problem, conditions, made, found)


@pytest.mark.parametrize("gone", [1, 2])
def test_the_second_adult_leaves_at_eleven(gone: int) -> None:
    # Reference 3.2: one of two adults goes, the young people stay: told from that round on.
    people = [
        replace(one, present=(True, True, False)) if one.id == gone else one for one in LEADS[:2]
    ]
    problem = day([*people, person(9, skills=("first_aid",)), ELA, BENCE], CREWS[:1])
    stays = 3 - gone
    made = roster({(1, 0): [1, 2, 10, 11], (1, 1): [1, 2, 10, 11], (1, 2): [stays, 10, 11]})
    found = judged(problem, made)
    assert {f.round for f in found} == {2}
    words = find_remedy(problem, book(problem), made, found[0])
    assert words.startswith("One more checked adult at “A” in round 3, or leave Ela and Bence")
