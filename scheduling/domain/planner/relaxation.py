"""A model with fractions allowed: a quick bound that holds whatever the solver got wrong.

Of the solver's answer only the prices of the constraints are used: any prices bound the
best answer by weak duality, good prices well, so that rounding, tolerances and a search
cut short cost sharpness and never truth (Neumaier and Shcherbina, "Safe bounds in linear
and mixed-integer linear programming", 2004). Not a plan: fractions of people.
"""

from dataclasses import dataclass
from math import floor

from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

MOST = 2**62  # the solver writes "no limit" as numbers beyond this
MANY_COLUMNS = 4000  # from which first-order steps (PDLP) are quicker than the simplex (GLOP)
ROUNDING = 1e-9  # of the sizes added up, for sums of that many numbers

Row = tuple[list[int], list[int], int, int]  # columns, amounts, least, most


@dataclass(frozen=True, slots=True)
class Relaxed:
    """What no answer surpasses, rounded down to what whole answers can reach."""

    bound: int


def solve_relaxation(model: cp_model.CpModel, seconds: float) -> Relaxed | None:
    """Return a number that no answer of a model's maximised objective surpasses.

    Args:
        model: Constraints that are not plain linear ones are left out, which only lets
            through more.
        seconds: Wall seconds; cut short, the bound is less sharp or none.

    Returns:
        The bound, or None when the solver gave no prices in time.
    """
    proto = model.proto
    rows = []
    for constraint in proto.constraints:
        if constraint.has_linear() and not len(constraint.enforcement_literal):
            linear = constraint.linear
            limits = list(linear.domain)  # the proto's own list knows no index from the end
            rows.append((list(linear.vars), list(linear.coeffs), limits[0], limits[-1]))
    domains = [list(variable.domain) for variable in proto.variables]
    boxes = [(domain[0], domain[-1]) for domain in domains]
    sign = round(proto.objective.scaling_factor or 1)
    gains = [0] * len(boxes)
    for index, amount in zip(proto.objective.vars, proto.objective.coeffs, strict=True):
        gains[index] += sign * amount
    prices = _find_prices(boxes, gains, rows, seconds)
    if prices is None:
        return None
    offset = sign * proto.objective.offset
    return Relaxed(floor(offset + bound_by_prices(boxes, gains, rows, prices)))


def _find_prices(
    boxes: list[tuple[int, int]], gains: list[int], rows: list[Row], seconds: float
) -> list[float] | None:
    """Return the solver's price of each row."""
    solver = pywraplp.Solver.CreateSolver("PDLP" if len(boxes) > MANY_COLUMNS else "GLOP")
    solver.set_time_limit(max(1, int(seconds * 1000)))
    columns = [solver.NumVar(low, high, "") for low, high in boxes]
    built = []
    for parts, amounts, low, high in rows:
        row = solver.Constraint(
            low if low > -MOST else -solver.infinity(), high if high < MOST else solver.infinity()
        )
        built.append(row)
        for index, amount in zip(parts, amounts, strict=True):
            row.SetCoefficient(columns[index], row.GetCoefficient(columns[index]) + amount)
    aim = solver.Objective()
    for column, gain in zip(columns, gains, strict=True):
        aim.SetCoefficient(column, gain)
    aim.SetMaximization()
    if solver.Solve() not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return None
    return [float(row.dual_value()) for row in built]


def bound_by_prices(
    boxes: list[tuple[int, int]], gains: list[int], rows: list[Row], prices: list[float]
) -> float:
    """Return a bound of the greatest gain that holds whatever the prices are.

    Args:
        boxes: Least and most of each column.
        gains: Of each column.
        rows: Constraints.
        prices: Of each row; what a row allows is paid for, and each column then taken at
            the better end of its box.
    """
    bound = size = 0.0
    reduced = [float(gain) for gain in gains]
    for (columns, amounts, low, high), price in zip(rows, prices, strict=True):
        limit = high if price > 0 else low
        if price == 0 or abs(limit) >= MOST:
            continue
        bound += price * limit
        size += abs(price * limit)
        for column, amount in zip(columns, amounts, strict=True):
            reduced[column] -= price * amount
    for (low, high), gain in zip(boxes, reduced, strict=True):
        most = max(gain * low, gain * high)
        bound += most
        size += abs(most)
    return bound + ROUNDING * max(1.0, size)
