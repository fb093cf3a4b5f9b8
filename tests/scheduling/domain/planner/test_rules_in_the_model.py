"""Each rule of supervision, ages and company: the model and `verify` say the same of any roster.

Rosters are random, and one thing is broken on purpose for every rule.
"""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from orchard.domain.plan import ToolItem
from scheduling.domain.condition import Severity
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day_model import build_day_model
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.rule_sets import RULE_SETS
from scheduling.domain.rules import get_rule
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.planner.oracle import obeys
from tests.scheduling.domain.rule_days import CLASS_5A, adult, child, day, pupil, roster, task

CODES = (
    "SUP-1", "SUP-2", "SUP-3", "SUP-4", "AGE-1", "AGE-2", "GUA-1", "CON-1", "GRP-1", "LED-1",
    "FA-1", "PWR-2",
)  # fmt: skip
TABLES = tuple(rules.supervision for rules in RULE_SETS if rules.supervision is not None)
PEOPLE = [
    adult(1, skills=("lead", "first_aid")),
    adult(2, skills=("lead",)),
    adult(3, skills=("first_aid",), staff_of=CLASS_5A.id, age=20),
    adult(4, checked=False),
    child(5, 9, guardian=2),
    child(6, 15),
    child(7, 17, consents=()),
    *(pupil(n, 10) for n in (8, 9, 10)),
    adult(11, age=25),
]
TASKS = [
    task(1, title="Weeding", zone="lawn"),
    task(2, title="Boring", kind="core", zone="lawn", minimum_age=14, tools={"hand_auger": 1}),
    task(3, title="Spreading", kind="mulch", zone="bank", heavy=True),
    task(4, title="Powered", kind="core", zone="bank", powered_min_per_round=10),
]
TOOLS = [ToolItem("hand_auger", "hand auger", 2, 14, briefing="auger")]


def build(**policy):
    return day(PEOPLE, TASKS, tools=TOOLS, **policy)


def possible(problem, conditions, crews) -> bool:
    """Fix every cell and ask the solver."""
    cells = {(p, t, r) for (t, r), crew in crews.items() for p in crew}
    forbidden = forbidden_cells(problem, conditions)
    if cells & forbidden:
        return False
    model = build_day_model(problem, conditions, forbidden=forbidden)
    add_conditions(model, conditions)
    for cell, variable in model.works.items():
        model.model.add(variable == (cell in cells))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver.solve(model.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)


def agree(problem, code, crews) -> bool:
    """Return whether the roster passes, once model, `verify` and the oracle said the same."""
    conditions = get_rule(code).conditions(problem)
    found = find_violations(problem, conditions, roster(crews))
    passes = not any(f.severity is Severity.BLOCKS and f.rule == code for f in found)
    filled = [(p, t, r) for (t, r), crew in crews.items() for p in crew]
    assert all(obeys(problem, c, filled, {}) for c in conditions) is passes
    assert possible(problem, conditions, crews) is passes
    return passes


WHERE = st.fixed_dictionaries(
    {(p.id, r): st.sampled_from([None, 1, 1, 2, 3, 4]) for p in PEOPLE for r in range(2)}
)


def crews_of(where):
    crews = {}
    for (who, round_), what in where.items():
        if what is not None:
            crews.setdefault((what, round_), []).append(who)
    return crews


@pytest.mark.parametrize("code", CODES)
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(where=WHERE)
def test_model_and_verify_agree_on_random_rosters(code, where):
    agree(build(), code, crews_of(where))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(where=WHERE, table=st.sampled_from(TABLES), further=st.sampled_from(TABLES))
def test_model_and_verify_agree_by_every_table(where, table, further):
    assessed = {"supervision": table, "further_tables": (further,), "uncommitted_leads": 0}
    problem = build(**assessed)
    conditions = [c for c in get_rule("SUP-1").conditions(problem) if type(c).__name__ != "Notice"]
    crews = crews_of(where)
    found = find_violations(problem, tuple(conditions), roster(crews))
    assert possible(problem, tuple(conditions), crews) is not any(
        f.severity is Severity.BLOCKS for f in found if f.rule == "SUP-1"
    )


GOOD = {(1, 0): [1, 2, 3, 5, 6, 8, 9, 10, 11], (2, 1): [1, 2, 6, 11]}


@pytest.mark.parametrize("code", [*CODES])
def test_a_good_roster_passes_every_rule(code):
    assert agree(build(), code, GOOD)


@pytest.mark.parametrize(
    ("code", "crews"),
    [
        ("SUP-1", {(1, 0): [4, 6, 7], (2, 0): [1, 2, 11]}),  # no counted adult in the crew
        ("SUP-1", {(1, 0): [1, 5, 6]}),  # one in charge is missing over the round
        ("SUP-2", {(1, 0): [1, 4, 6], (3, 0): [2]}),  # the second is on the bank
        ("SUP-2", {(1, 0): [2, 6, 7]}),
        ("SUP-3", {(1, 0): [1, 6]}),  # one to one
        ("SUP-4", {(1, 0): [4, 5, 2], (2, 0): [1]} | {(1, 1): [4, 8, 9, 10]}),
        ("AGE-1", {(2, 0): [1, 2, 5]}),
        ("AGE-2", {(4, 0): [1, 6]}),
        ("AGE-2", {(2, 0): [5, 8]}),  # nobody in the crew is old enough for the auger
        ("GUA-1", {(1, 0): [1, 5, 11]}),  # the guardian is person 2
        ("CON-1", {(1, 0): [1, 2, 7]}),
        ("GRP-1", {(1, 0): [1, 2, 8, 9, 10]}),  # without the class's staff
        ("GRP-1", {(1, 0): [1, 3, 8, 9], (3, 0): [2, 10]}),
        ("LED-1", {(1, 0): [3, 4]}),
        ("FA-1", {(3, 0): [1, 3]}),  # both first aiders at heavy work
        ("PWR-2", {(4, 0): [1, 2], (3, 0): [6, 11]}),
    ],
)
def test_one_thing_broken_is_found_by_all_three(code, crews):
    assert not agree(build(), code, crews)
