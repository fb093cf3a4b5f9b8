"""Each kind of condition: possible when cells are fixed so, impossible when fixed otherwise.

The constraints, `verify` and a plain-loop oracle must all give the same verdict.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Section,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.planner.day_model import build_day_model
from scheduling.domain.planner.translate import add_condition
from scheduling.domain.rule_set import Combining
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import as_roster, obeys
from tests.scheduling.domain.planner.test_day_by_enumeration import CONDITION

WHY = because()
DAY = day(
    [person(1), person(2), person(3)],
    [task(1, points_per_unit=100), task(2, points_per_unit=100)],
)


def is_possible(condition, filled, units, *, guard=None) -> bool:
    """Fix every cell and unit and ask the solver."""
    model = build_day_model(DAY, (condition,))
    switch = None if guard is None else model.model.new_constant(guard)
    add_condition(model, condition, switch)
    for cell, variable in model.works.items():
        model.model.add(variable == (cell in set(filled)))
    for task_ in DAY.tasks:
        for r in range(DAY.rounds):
            if model.is_by_round(task_.id):
                model.model.add(model.units[task_.id, r] == units.get((task_.id, r), 0))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver.solve(model.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)


# (kind, condition, what obeys it, what does not); cells are (person, task, round)
SECTIONS = (Section((2,), 2), Section((3,), 3))
TABLE = [
    ("forbid", Forbid(WHY, (1,), (1,), (0,)), [(1, 1, 1), (1, 2, 0)], [(1, 1, 0)]),
    ("forbid anyone", Forbid(WHY, None, None, (1,)), [(3, 1, 0)], [(3, 1, 1)]),
    (
        "at least, crew",
        AtLeast(WHY, 2, None, (1,), Per.CREW),
        [(1, 1, 0), (2, 1, 0), (3, 2, 0)],
        [(1, 1, 0), (2, 2, 0), (3, 2, 0)],
    ),
    ("at least, lead", AtLeast(WHY, 1, (2,), None, Per.CREW), [(1, 1, 0), (2, 1, 0)], [(1, 1, 0)]),
    ("at least, empty", AtLeast(WHY, 3, None, (1,), Per.CREW), [], [(1, 1, 0)]),
    ("at least, zone", AtLeast(WHY, 2, None, None, Per.ZONE), [(1, 1, 0), (2, 2, 0)], [(1, 1, 0)]),
    (
        "at least, always",
        AtLeast(WHY, 1, (3,), None, Per.ROUND, always=True),
        [(3, 1, 0), (3, 2, 1)],
        [(3, 1, 0)],
    ),
    ("at most, crew", AtMost(WHY, 1, None, (1,), Per.CREW), [(1, 1, 0)], [(1, 1, 0), (2, 1, 0)]),
    (
        "at most, rest",
        AtMost(WHY, 1, None, None, Per.PERSON, (0, 1)),
        [(1, 1, 0), (2, 1, 1)],
        [(1, 1, 0), (1, 2, 1)],
    ),
    (
        "at most, session",
        AtMost(WHY, 2, (1, 2), (2,), Per.SESSION),
        [(1, 2, 0), (2, 2, 1), (3, 2, 1)],
        [(1, 2, 0), (1, 2, 1), (2, 2, 1)],
    ),
    (
        "balance",
        Balance(WHY, ((1, 2),), ((2, 1), (3, 1)), Per.CREW),
        [(1, 1, 0), (2, 1, 0), (3, 1, 0)],
        [(1, 1, 0), (2, 1, 0), (3, 2, 0)],
    ),
    (
        "only with",
        OnlyWith(WHY, (3,), ((1, 1),), 1, Per.CREW),
        [(1, 1, 0), (3, 1, 0)],
        [(1, 2, 0), (3, 1, 0)],
    ),
    (
        "only with, zone",
        OnlyWith(WHY, (3,), ((1, 1), (2, 1)), 2, Per.ZONE),
        [(1, 1, 0), (2, 2, 0), (3, 1, 0)],
        [(1, 1, 0), (2, 2, 1), (3, 1, 0)],
    ),
    (
        "only with, partner at the wrong task",
        OnlyWith(WHY, (3,), ((1, 1),), 1, Per.ZONE, (2,)),
        [(1, 1, 0), (3, 2, 0)],
        [(1, 2, 0), (3, 1, 0)],
    ),
    (
        "apart",
        Apart(WHY, (3,), (1,), Per.ZONE),
        [(1, 1, 0), (2, 2, 0), (3, 2, 1)],
        [(1, 1, 0), (2, 2, 0), (3, 2, 0)],
    ),
    (
        "supervised, two at one to one",
        Supervised(WHY, (1,), (Section((2, 3), 1),), Combining.SUM, 0, 0, Per.CREW),
        [(1, 1, 0), (2, 1, 0), (3, 2, 1), (1, 2, 1)],
        [(1, 1, 0), (2, 1, 0), (3, 1, 0)],
    ),
    (
        "supervised, sum",
        Supervised(WHY, (1,), SECTIONS, Combining.SUM, 0, 0, Per.CREW),
        [(1, 1, 0), (2, 1, 0), (3, 1, 0)],
        [(2, 1, 0), (3, 1, 0), (1, 2, 0)],
    ),
    (
        "supervised, each section",
        Supervised(WHY, (1,), SECTIONS, Combining.SECTIONS, 0, 0, Per.CREW),
        [(1, 1, 0), (2, 1, 0), (3, 2, 1), (1, 2, 1)],
        [(1, 1, 0), (2, 1, 0), (3, 1, 0)],
    ),
    (
        "supervised, the youngest governs",
        Supervised(
            WHY, (1,), (Section((2,), 1), Section((3,), 5)), Combining.YOUNGEST, 0, 0, Per.CREW
        ),
        [(1, 1, 0), (3, 1, 0), (1, 2, 1), (2, 2, 1)],
        [(1, 1, 0), (2, 1, 0), (3, 1, 0)],
    ),
    (
        "supervised, one more in charge",
        Supervised(WHY, (1, 2), (Section((3,), 5),), Combining.SUM, 1, 0, Per.ROUND),
        [(1, 1, 0), (2, 2, 0), (3, 1, 0)],
        [(1, 1, 0), (3, 1, 0), (2, 2, 1)],
    ),
    (
        "supervised, floor without a number",
        Supervised(WHY, (1, 2), (Section((3,), 0),), Combining.SUM, 0, 2, Per.ZONE),
        [(1, 1, 0), (2, 2, 0), (3, 1, 0)],
        [(1, 1, 0), (3, 1, 0), (2, 2, 1)],
    ),
    (
        "supervised, not at the auger, in one round",
        Supervised(WHY, (1,), (Section((3,), 5),), Combining.SUM, 0, 0, Per.ROUND, (0,), (2,)),
        [(1, 1, 0), (3, 2, 0), (3, 2, 1)],
        [(1, 2, 0), (3, 1, 0)],
    ),
    (
        "supervised, at some tasks only",
        Supervised(WHY, (1,), (Section((3,), 5),), Combining.SUM, 0, 0, Per.CREW, tasks=(1,)),
        [(3, 2, 0), (1, 1, 1), (3, 1, 1)],
        [(3, 1, 0), (1, 2, 0)],
    ),
    (
        "minutes",
        MinutesAtMost(WHY, (1,), ((1, 15), (2, 20)), 30),
        [(1, 1, 0), (1, 1, 1), (2, 2, 0), (2, 2, 1)],
        [(1, 1, 0), (1, 2, 1)],
    ),
    (
        "tools",
        ToolsAtMost(WHY, "fork", 2, ((1, 2), (2, 1))),
        [(1, 1, 0), (2, 1, 0), (3, 2, 1)],
        [(1, 1, 0), (3, 2, 0)],
    ),
]


@pytest.mark.parametrize(
    ("condition", "good", "bad"), [row[1:] for row in TABLE], ids=[r[0] for r in TABLE]
)
def test_possible_when_obeyed_and_impossible_when_broken(condition, good, bad):
    assert is_possible(condition, good, {})
    assert obeys(DAY, condition, good, {})
    assert not find_violations(DAY, (condition,), as_roster(good, {}))
    assert not is_possible(condition, bad, {})
    assert not obeys(DAY, condition, bad, {})
    assert find_violations(DAY, (condition,), as_roster(bad, {}))


@pytest.mark.parametrize("bad", [row[3] for row in TABLE], ids=[row[0] for row in TABLE])
@pytest.mark.parametrize("condition", [row[1] for row in TABLE], ids=[row[0] for row in TABLE])
def test_a_guard_switches_a_condition_off_and_on(condition, bad):
    assert is_possible(condition, bad, {}, guard=0)
    assert is_possible(condition, bad, {}, guard=1) == obeys(DAY, condition, bad, {})


BORED = [(1, 1, 0), (2, 2, 1)]


@pytest.mark.parametrize(
    ("units", "expected"),
    [
        ({(1, 0): 2, (2, 1): 2}, True),
        ({(1, 0): 2, (2, 1): 1}, False),  # one hole stays open
        ({(1, 1): 2, (2, 1): 2}, False),  # closed in the round in which it is opened
        ({}, True),
    ],
)
def test_close_out_waits_a_round_and_closes_everything(units, expected):
    condition = CloseOut(WHY, 1, 2)
    assert is_possible(condition, BORED, units) is expected
    assert obeys(DAY, condition, BORED, units) is expected
    assert (find_violations(DAY, (condition,), as_roster(BORED, units)) == ()) is expected
    assert is_possible(condition, BORED, units, guard=0)


FILLED = st.lists(
    st.tuples(st.sampled_from([1, 2, 3]), st.sampled_from([1, 2]), st.sampled_from([0, 1])),
    max_size=6,
    unique_by=lambda cell: (cell[0], cell[2]),
)


@settings(max_examples=150, deadline=None)
@given(condition=CONDITION, filled=FILLED)
def test_solver_verify_and_oracle_agree_on_any_roster(condition, filled):
    expected = obeys(DAY, condition, filled, {})
    assert is_possible(condition, filled, {}) == expected
    assert (find_violations(DAY, (condition,), as_roster(filled, {})) == ()) == expected
