"""A day's roster made better part by part, each part solved to its end as a model of its own.

However large the day, a part is built and solved in a tenth of a second, so a day of
hundreds of people is searched as a small one is. Not for bounds, and not for days of
which there is no roster yet (`day_stages`).
"""

from collections.abc import Callable
from itertools import count

from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.day_search import DaySearch
from scheduling.domain.planner.linear import Linear
from scheduling.domain.planner.objective import (
    LABELS,
    LEAST,
    WORK,
    StageName,
    build_stages,
    stage_names,
)
from scheduling.domain.planner.part_choice import COMFORT_WAYS, WORK_WAYS, PartChooser
from scheduling.domain.planner.part_model import build_part
from scheduling.domain.planner.progress import Progress
from scheduling.domain.planner.search import run_search
from scheduling.domain.planner.worth import rank

PART_EFFORT = 0.4  # deterministic seconds a part may take
PART_SECONDS = 1.5  # and wall seconds, on a busy machine


def improve_by_parts(
    search: DaySearch,
    name: StageName,
    chooser: PartChooser,
    seconds: float,
    *,
    most: int | None = None,
    is_over: Callable[[], bool] = lambda: False,
) -> None:
    """Search one part after the other for more of a stage, the earlier stages held.

    Args:
        search: With a roster.
        name: The stage; for required work, other work counts too where it is the same.
        chooser: Goes on from part to part, over stages too.
        seconds: Wall seconds; ends before, when the stage's bound is reached.
        most: Parts at most; where they end the search, it goes the same way again.
        is_over: Asked between parts whether to end.
    """
    if search.roster is None:
        return
    ends = search.clock.seconds + seconds
    ways = WORK_WAYS if name in WORK else COMFORT_WAYS
    for _ in count() if most is None else range(most):
        if search.is_reached(name) or is_over():
            return
        left = min(search.clock.left, ends - search.clock.seconds)
        if left <= 0 or search.is_stopped():
            search.is_repeatable = False
            return
        way, free = chooser.choose(search.roster, ways)
        day = build_part(search.problem, search.conditions, search.roster, free)
        aim = _aim(search, day, name)
        if isinstance(aim, int):
            chooser.learn(way, effort=0.0, is_solved=True, gained=False)
            continue
        day.model.maximize(aim)
        before = rank(search.value) if search.value is not None else None
        found = run_search(
            day.model,
            search.clock,
            stage=LABELS[name],
            seconds=min(left, PART_SECONDS),
            should_stop=search.should_stop,
            has_sums=True,
            effort=PART_EFFORT,
        )
        if found.has_answer:
            search.keep(day, found)
        search.is_repeatable &= found.proven or found.effort >= PART_EFFORT
        gained = search.value is not None and rank(search.value) != before
        chooser.learn(way, effort=found.effort, is_solved=found.proven, gained=gained)
        if gained and search.on_progress is not None:
            reached, best = search.reached(name), search.best(name)
            search.on_progress(Progress(LABELS[name], reached, best, search.clock.seconds))


def _aim(search: DaySearch, day: DayModel, name: StageName) -> Linear:
    """Hold the earlier stages and return what is to be made greatest in a part."""
    names = stage_names(search.problem)
    earlier = names[: names.index(name)]
    wanted: tuple[StageName, ...] = (*earlier, name)
    if name == "required_left":
        wanted = (name, "other_done")
    counted = {stage.name: stage.expression for stage in build_stages(day, wanted)}
    for one in earlier:
        if one in counted and one in LEAST:
            day.model.add(counted[one] <= search.reached(one))
        elif one in counted:
            day.model.add(counted[one] >= search.reached(one))
    if name not in counted:
        return 0
    if name not in LEAST:
        return counted[name]
    weight = 1
    if name == "required_left":
        other = sum(t.value_per_unit * t.units for t in search.problem.tasks if not t.required)
        weight += max(0, other)
    return counted.get("other_done", 0) - weight * counted[name]
