"""Work as a packing: a unit takes so many points, and people bring them in a few sizes.

What all tasks of a stage are put in, weighed by what a point is worth at each, has a most,
soon found and proven. Whole units waste some of it. Where an aim leaves little to waste,
hardly any numbers of people of each size come out nearly even at a task, and a table of
those that do says so: an aim is then found or refuted in seconds that a search for the best
misses by one unit in minutes, as its bound knows nothing of sizes.

Source of the idea: knapsack residues and reachable sums, as in Martello and Toth, Knapsack
Problems (Wiley, 1990), from memory; rows as table constraints, common practice of constraint
programming.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product
from math import gcd, lcm, prod

from ortools.sat.python import cp_model

from scheduling.domain.people import PersonId
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.linear import Linear, total, weighed
from scheduling.domain.planner.objective import find_other_work, value_done
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask

MOST_SUM = 2**53  # what the solver spends and bounds is read as a float: whole up to here
MOST_TRIED = 200_000  # numbers for one table: with more it takes seconds to write


@dataclass(frozen=True, slots=True)
class Packing:
    """What a model's other work is put in.

    `spent` is in value times `scale`: what the points at all tasks would be worth if part
    of a unit counted. `step` divides every value that whole units can add up to.
    """

    tasks: tuple[CrewTask, ...]
    points: Mapping[PersonId, int]  # of a round
    scale: int
    step: int
    spent: Linear

    def most_value(self, most_spent: int) -> int:
        """Return the most value that whole units can have where no more can be spent."""
        return most_spent // self.scale // self.step * self.step

    @property
    def largest_unit(self) -> int:
        """The value of the most valuable unit."""
        return max(task.value_per_unit for task in self.tasks)

    def is_tight(self, aim: int, most_spent: int) -> bool:
        """Say whether an aim leaves less to waste than half a unit of the most valuable work."""
        to_waste = most_spent - aim * self.scale
        return 2 * to_waste < self.scale * self.largest_unit


def find_packing(day: DayModel) -> Packing | None:
    """Return the packing of a model's other work; None where it has none that can be weighed.

    Args:
        day: Of people or of kinds.
    """
    tasks = find_other_work(day)
    if not tasks or any(min(task.points_per_unit, task.value_per_unit) <= 0 for task in tasks):
        return None
    scale = lcm(*(task.points_per_unit for task in tasks))
    weights = {task.id: task.value_per_unit * scale // task.points_per_unit for task in tasks}
    points = {person.id: points_of(day.problem, person) for person in day.people}
    parts = [
        (works, weights[task] * points[person])
        for (person, task, _), works in sorted(day.works.items())
        if task in weights and points[person]
    ]
    if not parts or sum(day.most(works) * worth for works, worth in parts) > MOST_SUM:
        return None
    step = gcd(*(task.value_per_unit for task in tasks))
    return Packing(tasks, points, scale, step, weighed(parts))


def aim_at(day: DayModel, packing: Packing, aim: int, most_spent: int) -> None:
    """Ask of a model that its other work is worth an aim, with a table for each task.

    Args:
        day: The model the packing was found in, or a copy.
        packing: What its work is put in.
        aim: The value wanted.
        most_spent: What `packing.spent` never surpasses.
    """
    day.model.add(value_done(day, packing.tasks) >= aim)
    day.model.add(packing.spent <= most_spent)
    day.model.add(packing.spent >= aim * packing.scale)
    for task in packing.tasks:
        _add_table(day, packing, task, most_spent - aim * packing.scale)


def _add_table(day: DayModel, packing: Packing, task: CrewTask, to_waste: int) -> None:
    """Leave a task only units and numbers of people of each size that waste little enough."""
    cells_by_size: dict[int, list[cp_model.IntVar]] = defaultdict(list)
    for cell, works in sorted(day.works.items()):
        if cell[1] == task.id and packing.points[cell[0]]:
            cells_by_size[packing.points[cell[0]]].append(works)
    wasted_most = to_waste * task.points_per_unit // (task.value_per_unit * packing.scale)
    put_in_most = task.points_per_unit * task.units + wasted_most
    mosts = {
        size: min(sum(day.most(works) for works in cells), put_in_most // size)
        for size, cells in sorted(cells_by_size.items(), reverse=True)
    }
    if prod(most + 1 for most in mosts.values()) > MOST_TRIED:
        return
    units = day.model.new_int_var(0, task.units, f"u{task.id}")
    day.model.add(units == day.done(task.id))
    counts = []
    for size, most in mosts.items():
        count = day.model.new_int_var(0, most, f"n{task.id}of{size}")
        day.model.add(count == total(cells_by_size[size]))
        counts.append(count)
    rows = find_rows(task, mosts, wasted_most)
    day.model.add_allowed_assignments([units, *counts], rows)


def find_rows(task: CrewTask, mosts: Mapping[int, int], wasted_most: int) -> list[tuple[int, ...]]:
    """Return what may be done at a task and by how many of each size, with little wasted.

    Args:
        task: Its units and the points of one.
        mosts: By points of a round, how many person-rounds of that size there may be.
        wasted_most: Points beyond those of the units done.

    Returns:
        Rows of units, as many as the points allow, and the numbers in the order of `mosts`.
    """
    rows = []
    for numbers in product(*(range(most + 1) for most in mosts.values())):
        put_in = sum(number * size for number, size in zip(numbers, mosts, strict=True))
        units = min(put_in // task.points_per_unit, task.units)
        if put_in - units * task.points_per_unit <= wasted_most:
            rows.append((units, *numbers))
    return rows
