"""A model with fractions allowed: a quick bound and a guide to where work belongs.

Only for models whose constraints are all plain linear ones, as the season's
are. Not a plan: fractions of people and halves of "used" come out of it.
"""

from dataclasses import dataclass
from math import floor

from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

MOST = 2**62  # the solver writes "no limit" as numbers beyond this


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The relaxation's best value, rounded to what whole answers can reach, and its point."""

    bound: int
    values: tuple[float, ...]  # by the variables' order in the model


def solve_relaxation(model: cp_model.CpModel, seconds: float) -> Relaxed | None:
    """Return the best point with fractions of a model that is maximised.

    Args:
        model: Linear constraints without enforcement, and a maximised objective.
        seconds: Wall seconds; a relaxation cut short bounds nothing.

    Returns:
        Bound and point, or None when not solved in time or the model holds
        another kind of constraint.
    """
    solver = pywraplp.Solver.CreateSolver("GLOP")
    solver.set_time_limit(max(1, int(seconds * 1000)))
    proto = model.proto
    columns = []
    for variable in proto.variables:
        domain = list(variable.domain)
        columns.append(solver.NumVar(domain[0], domain[-1], ""))
    for constraint in proto.constraints:
        if not constraint.has_linear() or len(constraint.enforcement_literal):
            return None
        domain = list(constraint.linear.domain)  # the proto's own list knows no index from the end
        low, high = domain[0], domain[-1]
        row = solver.Constraint(
            low if low > -MOST else -solver.infinity(), high if high < MOST else solver.infinity()
        )
        for index, amount in zip(constraint.linear.vars, constraint.linear.coeffs, strict=True):
            row.SetCoefficient(columns[index], row.GetCoefficient(columns[index]) + amount)
    sign = proto.objective.scaling_factor or 1.0
    aim = solver.Objective()
    for index, amount in zip(proto.objective.vars, proto.objective.coeffs, strict=True):
        aim.SetCoefficient(columns[index], sign * amount)
    aim.SetOffset(sign * proto.objective.offset)
    aim.SetMaximization()
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    value = aim.Value()
    # The solver's tolerance must not make the bound too good to be true.
    bound = floor(value + 1e-6 * max(1.0, abs(value)))
    return Relaxed(bound, tuple(column.solution_value() for column in columns))
