"""Moving people by hand and letting them go: the work follows, nothing is judged."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.condition import CloseOut
from scheduling.domain.hand_edit import let_go, move_person, rounds_left
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.roster import Roster
from scheduling.domain.roster_shape import find_shape_findings
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.rule_days import adult, conditions_of, day, roster, task

BORE, FILL, WEED = 1, 2, 3


def holes_day():
    """Return two boring, two filling, two weeding over three rounds; a hole is 10 minutes."""
    return day(
        [adult(n) for n in range(1, 7)],
        [
            task(BORE, opens_ground=True, units=60),
            task(FILL, closes=BORE, units=60),
            task(WEED, units=60),
        ],
    )


def holes_roster() -> Roster:
    crews = {(BORE, 0): (1, 2), (BORE, 1): (1, 2), (FILL, 1): (3, 4), (FILL, 2): (3, 4)}
    crews |= {(WEED, r): (5, 6) for r in range(3)}
    units = {(BORE, 0): 6, (BORE, 1): 6, (FILL, 1): 6, (FILL, 2): 6}
    units |= {(WEED, r): 6 for r in range(3)}
    return roster(crews, units)


def units_of(changed: Roster, number: int) -> list[int]:
    by_round = {line.round: line.units for line in changed.units if line.task == TaskId(number)}
    return [by_round.get(r, 0) for r in range(3)]


def test_nothing_changes_when_somebody_is_put_where_they_are():
    problem, given_roster = holes_day(), holes_roster()

    moved = move_person(problem, given_roster, PersonId(1), 0, TaskId(BORE))

    assert set(moved.assignments) == set(given_roster.assignments)
    assert set(moved.units) == set(given_roster.units)


def test_a_crew_that_loses_a_borer_bores_less_and_fills_no_more_than_that():
    # 30 minutes a round, 10 a hole: two borers 6 holes a round, one of them 3.
    moved = move_person(holes_day(), holes_roster(), PersonId(2), 1, TaskId(WEED))

    assert units_of(moved, BORE) == [6, 3, 0]
    assert units_of(moved, FILL) == [6, 3, 0] or units_of(moved, FILL) == [0, 6, 3]
    assert sum(units_of(moved, FILL)) == 9
    assert moved.crew(TaskId(WEED), 1) == (2, 5, 6)
    assert units_of(moved, WEED) == [6, 6, 6]


def test_a_crew_that_loses_a_filler_has_fewer_holes_bored_for_it():
    moved = move_person(holes_day(), holes_roster(), PersonId(4), 2, None)

    assert sum(units_of(moved, BORE)) == sum(units_of(moved, FILL)) == 9
    assert units_of(moved, BORE) == [6, 3, 0]
    assert (PersonId(4), 2) not in {(a.person, a.round) for a in moved.assignments}


def test_when_a_filler_leaves_after_the_boring_the_holes_left_open_are_a_finding():
    problem, given_roster = holes_day(), holes_roster()
    left = ((PersonId(3), 2), (PersonId(4), 2))

    rest, now = let_go(problem, given_roster, left)

    # Twelve holes are bored by then; only six can still be filled by anybody's crew.
    assert units_of(now, BORE) == [6, 6, 0]
    findings = find_violations(rest, conditions_of("CLO-1", rest), now)
    assert [(f.rule, f.required, f.found) for f in findings] == [("CLO-1", 12, 6)]


def test_somebody_who_left_is_there_no_more_and_has_no_place():
    rest, now = let_go(holes_day(), holes_roster(), ((PersonId(5), 1),))

    assert next(p for p in rest.people if p.id == 5).present == (True, False, False)
    assert {a.round for a in now.assignments if a.person == 5} == {0}
    assert not find_shape_findings(rest, now)


def test_nobody_left_leaves_all_rounds_to_judge_and_everything_as_it_was():
    problem, given_roster = holes_day(), holes_roster()

    rest, now = let_go(problem, given_roster, ())

    assert (rest, set(now.units)) == (problem, set(given_roster.units))
    assert rounds_left(problem, ()) == (0, 1, 2)
    assert rounds_left(problem, ((PersonId(5), 2), (PersonId(1), 1))) == (1, 2)


@pytest.mark.parametrize(
    ("person", "round_", "to", "said"),
    [
        (99, 0, WEED, "Nobody with number 99"),
        (1, 3, WEED, "there is no round 4"),
        (1, -1, WEED, "there is no round 0"),
        (1, 0, 77, "no task with number 77"),
    ],
)
def test_what_the_day_does_not_know_is_refused(person, round_, to, said):
    with pytest.raises(RosterError, match=said):
        move_person(holes_day(), holes_roster(), PersonId(person), round_, TaskId(to))


def test_leaving_a_round_that_is_not_there_is_refused():
    with pytest.raises(RosterError, match="nobody can leave before round 4"):
        let_go(holes_day(), holes_roster(), ((PersonId(1), 3),))


moves = st.lists(
    st.tuples(st.integers(1, 6), st.integers(0, 2), st.sampled_from([None, BORE, FILL, WEED])),
    max_size=8,
)


@settings(deadline=None)  # a busy machine is not a fault
@given(moves)
def test_after_any_moves_the_work_fits_the_crews_and_every_hole_is_filled(made):
    problem, changed = holes_day(), holes_roster()
    for person, round_, to in made:
        changed = move_person(
            problem, changed, PersonId(person), round_, None if to is None else TaskId(to)
        )

    assert not find_shape_findings(problem, changed)
    balanced = tuple(c for c in conditions_of("CLO-1", problem) if isinstance(c, CloseOut))
    assert balanced
    assert not find_violations(problem, balanced, changed)
