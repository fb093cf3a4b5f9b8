"""A class by numbers with helpers and needs: who counts, what is missing, what would be enough."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.class_visit import ClassNumbers, build_tried_class, check_visit
from scheduling.domain.policy import build_policy
from scheduling.domain.rule import Severity
from scheduling.domain.rule_sets import get_rule_set
from tests.scheduling.domain.rule_days import adult, day, task

MIXED_27 = ((7, 7), (9, 9), (14, 11))  # a mixed class of 27


def session(*codes: str, tasks=()):
    """Return a session with nobody signed up, under these sets."""
    return replace(
        day([], list(tasks), groups=()),
        policy=build_policy(tuple(get_rule_set(code) for code in codes)),
    )


def ratio_of(answer, method: str):
    return next(line for line in answer.lines if line.rule == "SUP-1" and method in line.method)


def test_a_mixed_class_of_27_by_the_table_and_its_arithmetic():
    # NSPCC Learning 2023: 7 of 4-8 at 1:6, 9 of 9-12 at 1:8, 11 of 13-18 at 1:10:
    # 7/6 + 9/8 + 11/10 = 3.39, so 4; the youngest governing one crew: 27/6 = 4.5, so 5.
    answer = check_visit(session("NSPCC-2023"), ClassNumbers(MIXED_27, staff=6, checked_staff=6))

    everyone = ratio_of(answer, "everyone there")
    alone = ratio_of(answer, "the class alone")
    assert (everyone.required, alone.required) == (4, 5)
    assert "7/6 + 9/8 + 11/10" in everyone.text
    assert "27/6 = 4.5" in alone.text
    assert not any(line.missing for line in answer.lines if line.rule.startswith("SUP"))


def test_unchecked_staff_and_helpers_do_not_count_for_other_peoples_children():
    # people-and-safety.md 1.2: 12 aged 7, one leader, three unvetted parents: one counts of two.
    numbers = ClassNumbers(((7, 12),), staff=1, checked_staff=1, helpers=3, checked_helpers=0)

    answer = check_visit(session("NSPCC-2023"), numbers)

    floor = next(line for line in answer.lines if line.rule == "SUP-2")
    assert (floor.required, floor.there) == (2, 1)
    assert answer.blocked
    uncounted = {line.who: line.number for line in answer.adults if not line.counts}
    assert uncounted["helpers of the class"] == 3


def test_checked_helpers_count_and_are_no_staff():
    numbers = ClassNumbers(((10, 16),), staff=0, checked_staff=0, helpers=3, checked_helpers=3)

    answer = check_visit(session("NSPCC-2023"), numbers)

    staff = next(line for line in answer.lines if line.rule == "GRP-1")
    assert (staff.there, staff.missing) == (0, 1)
    assert ratio_of(answer, "everyone there").missing == 0


def test_an_adult_kept_by_one_pupil_counts_for_nobody_else():
    without = ClassNumbers(((10, 16),), staff=2, checked_staff=2)
    kept = replace(without, needing_own_adult=1)

    free = check_visit(session("NSPCC-2023"), without)
    answer = check_visit(session("NSPCC-2023"), kept)

    assert ratio_of(free, "everyone there").there == 2
    assert ratio_of(answer, "everyone there").there == 1
    own = answer.lines[-1]
    assert (own.required, own.there, own.missing) == (1, 1, 0)
    assert "of their own" in own.method


def test_helpers_are_kept_before_staff():
    numbers = ClassNumbers(
        ((10, 16),), staff=2, checked_staff=2, helpers=1, checked_helpers=1, needing_own_adult=2
    )

    assert (numbers.counted_helpers, numbers.counted_staff) == (0, 1)
    people = build_tried_class(session("NSPCC-2023"), numbers)
    assert sum(person.checked for person in people) == 1


def test_what_to_change_is_enough_and_no_less_would_be():
    numbers = ClassNumbers(MIXED_27, staff=3, checked_staff=3)
    answer = check_visit(session("NSPCC-2023", "SITE-1"), numbers)
    assert answer.changes

    def short(more: int) -> bool:
        tried = replace(numbers, staff=3 + more, checked_staff=3 + more)
        return any(
            line.missing
            for line in check_visit(session("NSPCC-2023", "SITE-1"), tried).lines
            if line.rule in ("SUP-1", "SUP-2")
        )

    enough = next(more for more in range(20) if not short(more))
    words = ("no", "One", "Two", "Three", "Four", "Five", "Six")
    assert enough > 0
    assert any(change.startswith(words[enough]) for change in answer.changes)
    assert short(enough - 1)


def test_tasks_alike_are_said_once_and_a_task_too_old_for_all_is_not_open():
    problem = session(
        "NSPCC-2023",
        "SITE-1",
        tasks=[
            task(1, kind="weed"),
            task(2, kind="weed"),
            task(3, kind="core", minimum_age=14, title="Bore"),
        ],
    )
    numbers = ClassNumbers(((10, 8),), staff=3, checked_staff=3, wished_kinds=("weed",))

    answer = check_visit(problem, numbers)

    weed = next(visit for visit in answer.tasks if visit.kind == "weed")
    core = next(visit for visit in answer.tasks if visit.kind == "core")
    assert weed.titles == ("Task 1", "Task 2")
    assert (weed.is_open, weed.wished) == (True, True)
    assert (core.is_open, core.task.may_not) == (False, (10,))
    assert answer.tasks[0] is weed


def test_ground_closed_to_everybody_says_why():
    problem = session("NSPCC-2023", tasks=[task(1, kind="core", opens_ground=True, title="Bore")])
    answer = check_visit(problem, ClassNumbers(((15, 8),), staff=3, checked_staff=3))

    (bore,) = answer.tasks
    assert not bore.is_open
    assert "locate" in " ".join(bore.closed).lower()
    assert bore.why[0] == bore.closed[0]


def test_no_pupils_ask_for_nobody():
    answer = check_visit(session("NSPCC-2023"), ClassNumbers((), staff=0, checked_staff=0))

    assert (answer.lines, answer.findings, answer.missing, answer.blocked) == ((), (), 0, False)


def test_nobody_real_is_named():
    problem = replace(session("NSPCC-2023"), people=(adult(1, name="Anneke T."),))
    answer = check_visit(problem, ClassNumbers(((10, 30),), staff=1, checked_staff=0))

    said = " ".join(
        [line.text for line in answer.lines]
        + [line.why + line.who for line in answer.adults]
        + list(answer.changes)
    )
    assert "Anneke" not in said


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        (ClassNumbers(((10, 5),), 2, 3), "3 of 2 staff"),
        (ClassNumbers(((10, 5),), 2, 2, helpers=1, checked_helpers=2), "2 of 1 helpers"),
        (ClassNumbers(((10, 5),), 2, 2, needing_own_adult=6), "6 of 5 pupils"),
    ],
)
def test_numbers_that_cannot_be_together_are_refused(numbers, said):
    with pytest.raises(RosterError, match=said):
        check_visit(session("NSPCC-2023"), numbers)


@settings(deadline=None)  # a busy machine is not a fault
@given(
    st.lists(st.tuples(st.integers(4, 17), st.integers(1, 8)), min_size=1, max_size=4),
    st.integers(0, 6),
    st.integers(4, 17),
)
def test_one_more_pupil_never_lowers_what_any_set_asks(bands, staff, age):
    by_age: dict[int, int] = {}
    for years, count in bands:
        by_age[years] = by_age.get(years, 0) + count
    problem = session("NSPCC-2023", "SCOUTS-UK-AWAY")
    before = check_visit(problem, ClassNumbers(tuple(sorted(by_age.items())), staff, staff))
    by_age[age] = by_age.get(age, 0) + 1
    after = check_visit(problem, ClassNumbers(tuple(sorted(by_age.items())), staff, staff))

    def asked(answer, rule):
        return max((line.required for line in answer.lines if line.rule == rule), default=0)

    for rule in ("SUP-1", "SUP-2", "FA-1"):
        assert asked(after, rule) >= asked(before, rule)


@settings(deadline=None)  # a busy machine is not a fault
@given(st.lists(st.tuples(st.integers(4, 17), st.integers(1, 8)), min_size=1, max_size=3))
def test_one_more_counted_adult_never_turns_met_into_missing(bands):
    ages = tuple(sorted(dict(bands).items()))
    problem = session("NSPCC-2023", "SITE-1")
    for staff in range(2, 7):
        fewer = check_visit(problem, ClassNumbers(ages, staff, staff))
        more = check_visit(problem, ClassNumbers(ages, staff + 1, staff + 1))
        gaps = {(x.rule, x.method): x.missing for x in fewer.lines if x.rule.startswith("SUP")}
        for line in more.lines:
            if line.rule.startswith("SUP"):
                assert line.missing <= gaps[line.rule, line.method]


def test_a_class_that_blocks_names_only_what_blocks():
    answer = check_visit(session("NSPCC-2023"), ClassNumbers(((10, 8),), staff=1, checked_staff=0))

    assert answer.blocked
    assert {f.severity for f in answer.findings if f.rule.startswith("SUP")} == {Severity.BLOCKS}
