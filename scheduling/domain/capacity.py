"""From open tasks and expected people to a season problem.

Front door: `build_season_problem`. People become classes and cautious minutes,
so that the season can be planned without naming anybody. Not for who works
where on the day (`planner.day`), and not for finding the plan
(`planner.season`).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import ceil, floor

from orchard.domain.plan import PlannedTask
from orchard.domain.task_names import name_task
from scheduling.domain.people import Band, ItemId
from scheduling.domain.season import Demand, Item, PlannedUnits, SeasonProblem, Stock
from scheduling.domain.season_comfort import NO_COMFORT, Comfort
from scheduling.domain.session_capacity import (
    OutlookPerson,
    SessionOutlook,
    build_classes,
    build_session,
    build_sets,
)

__all__ = (
    "Delivery",
    "OutlookPerson",
    "SeasonTask",
    "SessionOutlook",
    "build_season_problem",
    "gather_units",
    "least_band",
    "spread_units",
)

CAUTION = 0.85  # invented default: people are slower and fewer than hoped
DISCOUNT = 0.98  # invented default: what work keeps of its worth when a session later
PIECE_PERSON_MIN = 120  # invented default: about what a crew of four does in a round
MOST_PIECES = 4  # invented default: a task is spread over no more parts than this
SPLIT_SHARE = 0.1  # invented default: what coming back to a task costs of its worth
STOCK_UNIT = "L"  # of a `Delivery`
UNFINISHED_SHARE = 0.05  # invented default: what a task left unfinished costs of its worth


@dataclass(frozen=True, slots=True)
class SeasonTask:
    """A task with the units still open, and by when they should be done.

    `finish_by` is the last day by which it should be finished, or None.
    `not_on` are days on which it may not be done, such as those that no locate
    covers. `not_before` is the first day on which work already finished has
    rested long enough for it, or None. `time` is which time the plan does this work,
    counted from 1, and 0 where it does it once.
    """

    task: PlannedTask
    units_open: int
    finish_by: date | None = None
    not_on: frozenset[date] = frozenset()
    not_before: date | None = None
    time: int = 0


@dataclass(frozen=True, slots=True)
class Delivery:
    """Litres of a material, there from a day on."""

    material: str
    on: date
    litres: int


def build_season_problem(
    *,
    name: str,
    tasks: tuple[SeasonTask, ...],
    sessions: tuple[SessionOutlook, ...],
    stock: tuple[Delivery, ...],
    pace_percent: tuple[int, int, int, int] = (40, 55, 70, 100),
    lead_skill: str = "lead",
    caution: float = CAUTION,
    comfort: Comfort = NO_COMFORT,
) -> SeasonProblem:
    """Return the season problem of the open tasks and the sessions to come.

    Args:
        name: What the season is called.
        tasks: Tasks with their open units; those with none are finished.
        sessions: Sessions in which work may still be done, in any order.
        stock: Deliveries of materials, in litres.
        pace_percent: Work per minute by age band, youngest first, adult 100.
        lead_skill: The skill a crew's lead holds.
        caution: Part of the expected minutes that is planned with, 0 to 1.
        comfort: What keeps the sessions pleasant; without it nothing more is asked.

    Returns:
        A season with sessions in order of day. Minutes per unit are the mean
        effort, rounded to a whole minute and never 0.

    Assumes:
        Minutes of a set of classes are chance of coming × usable minutes × pace ×
        caution, less half a session for the lead of each expected crew of five; young
        people's count even where supervision may not allow them all. The skilled part
        of a crew is reckoned at its largest size. A minimum age inside a band asks for
        the next band, except under 12. A task that follows one not in the season
        follows nothing. Tasks are moved in parts of about a crew's round. Going back
        to a task in another session costs a tenth of its worth; each session at whose
        end it is late, a twentieth. All invented defaults.
    """
    ordered = tuple(sorted(sessions, key=lambda session: (session.on, session.id)))
    open_tasks = {t.task.key: t for t in tasks if t.units_open > 0}
    items = tuple(_build_item(t, open_tasks, ordered) for _, t in sorted(open_tasks.items()))
    wanted = {demand.skill for item in items for demand in item.demands} - {""}
    classes = build_classes(ordered, wanted | {lead_skill})
    sets = build_sets(items, classes)
    return SeasonProblem(
        name=name,
        classes=classes,
        sessions=tuple(
            build_session(session, classes, sets, pace_percent, lead_skill, caution, comfort)
            for session in ordered
        ),
        items=items,
        materials=_build_stock(stock, ordered),
        discount=tuple(round(1000 * DISCOUNT**number) for number in range(len(ordered))),
        heavy_kinds=_heavy_kinds(open_tasks, comfort),
        heavy_most_percent=comfort.heavy_most_percent,
        kept_free_percent=comfort.kept_free_percent,
        young_penalty=comfort.young_penalty,
    )


def _heavy_kinds(open_tasks: dict[str, SeasonTask], comfort: Comfort) -> tuple[str, ...]:
    if comfort.heavy_most_percent >= 100:
        return ()
    return tuple(sorted({each.task.kind for each in open_tasks.values() if each.task.heavy}))


def _build_item(
    open_task: SeasonTask, open_tasks: dict[str, SeasonTask], sessions: tuple[SessionOutlook, ...]
) -> Item:
    task = open_task.task
    closes = task.closes if task.closes in open_tasks else ""
    size = _part_size(open_task, open_tasks)
    worth = 1000 * task.value_per_unit * open_task.units_open
    return Item(
        id=ItemId(task.key),
        place=task.pocket or "+".join(task.trees) or task.key,
        kind=task.kind,
        units=ceil(open_task.units_open / size),
        demands=build_demands(task, units=size),
        crew_least=task.crew_least,
        crew_most=task.crew_most,
        tools=tuple(sorted((need.tool, need.count) for need in task.tools)),
        materials=tuple(
            sorted(
                (need.material, ceil(size * need.litres / task.units)) for need in task.materials
            )
        ),
        sessions=tuple(
            number
            for number, session in enumerate(sessions)
            if session.on not in open_task.not_on
            and (open_task.not_before is None or session.on >= open_task.not_before)
            and (not task.windows or any(window.holds(session.on) for window in task.windows))
        ),
        # What closes holes goes with their boring, so it does not wait for it.
        after=tuple(
            sorted(
                (ItemId(after.key), after.same_session)
                for after in task.after
                if after.key in open_tasks and after.key != closes
            )
        ),
        closes=ItemId(closes) if closes else None,
        value_per_unit=task.value_per_unit * size,
        finish_by=_session_of(open_task.finish_by, sessions),
        late_penalty=round(UNFINISHED_SHARE * worth),
        split_penalty=round(SPLIT_SHARE * worth),
        units_in_one=size,
        title=name_task(task.title, open_task.time),
        lag_days=tuple(
            sorted(
                (ItemId(after.key), after.lag_days)
                for after in task.after
                if after.lag_days > 0 and after.key in open_tasks and after.key != closes
            )
        ),
        unit=task.unit,
        task_units=open_task.units_open,
    )


def _part_size(open_task: SeasonTask, open_tasks: dict[str, SeasonTask]) -> int:
    """Return how many of a task's units the season moves as one.

    A hole and its filling go together, so both are cut by what they take together.
    """
    together = [open_task]
    for other in open_tasks.values():
        if open_task.task.key in (other.task.closes, other.task.key) or (
            other.task.key == open_task.task.closes
        ):
            together.append(other)
    minutes = sum({t.task.key: t.task.effort.mean_min * t.units_open for t in together}.values())
    parts = min(MOST_PIECES, max(1, round(minutes / PIECE_PERSON_MIN)))
    return ceil(open_task.units_open / parts)


def spread_units(
    problem: SeasonProblem, planned: Iterable[PlannedUnits], units_open: Mapping[ItemId, int]
) -> tuple[PlannedUnits, ...]:
    """Return a season's answer in the tasks' own units.

    Args:
        problem: The season that was solved.
        planned: Its answer.
        units_open: The units still open of each task; none gets more.
    """
    order = {session.id: number for number, session in enumerate(problem.sessions)}
    size = {item.id: item.units_in_one for item in problem.items}
    left = dict(units_open)
    found = []
    for part in sorted(planned, key=lambda part: (part.item, order[part.session])):
        units = min(part.units * size[part.item], left[part.item])
        left[part.item] -= units
        if units > 0:
            found.append(PlannedUnits(part.item, part.session, units))
    return tuple(found)


def gather_units(
    problem: SeasonProblem, promised: Iterable[PlannedUnits]
) -> tuple[PlannedUnits, ...]:
    """Return work promised in the tasks' own units as the season counts it, rounded up.

    Rounding never asks for more than an item has left.
    """
    items = {item.id: item for item in problem.items}
    left = {item.id: item.units for item in problem.items}
    found = []
    for part in promised:
        if part.item not in items:
            continue
        units = min(ceil(part.units / items[part.item].units_in_one), left[part.item])
        left[part.item] -= units
        if units > 0:
            found.append(PlannedUnits(part.item, part.session, units))
    return tuple(found)


def build_demands(task: PlannedTask, *, units: int = 1) -> tuple[Demand, ...]:
    """Return who must give how many minutes for some units of a task.

    Args:
        task: Its mean effort, largest crew, skills and minimum age count.
        units: How many units, at least 1.

    Returns:
        A part for each skill the crew needs, `count` of the largest crew, and
        the rest for anybody old enough; together the mean effort in whole
        person-minutes, at least 1.
    """
    minutes = max(1, floor(units * task.effort.mean_min + 0.5))
    band = least_band(task.minimum_age)
    demands = []
    left = minutes
    for need in sorted(task.skills, key=lambda need: need.skill):
        share = min(left, max(1, floor(minutes * need.count / task.crew_most + 0.5)))
        if share > 0:
            demands.append(Demand(need.skill, band, share))
            left -= share
    if left > 0:
        demands.append(Demand("", band, left))
    return tuple(demands)


def least_band(minimum_age: int) -> Band:
    """Return the youngest band that may be counted on for a minimum age in years.

    Under 12 the band itself, as its tasks name ages inside it; above, the first
    band everyone of which is old enough.
    """
    starts = {12: Band.FROM_12, 16: Band.FROM_16, 18: Band.ADULT}
    if minimum_age < 12:
        return Band.UNDER_12
    return next((band for age, band in starts.items() if age >= minimum_age), Band.ADULT)


def _session_of(day: date | None, sessions: tuple[SessionOutlook, ...]) -> int | None:
    if not sessions:
        return None
    if day is None:
        return len(sessions) - 1
    in_time = [number for number, session in enumerate(sessions) if session.on <= day]
    return in_time[-1] if in_time else 0


def _build_stock(
    deliveries: Iterable[Delivery], sessions: tuple[SessionOutlook, ...]
) -> tuple[Stock, ...]:
    by_material: dict[str, list[tuple[int, int]]] = {}
    for delivery in deliveries:
        first = next((n for n, session in enumerate(sessions) if session.on >= delivery.on), None)
        arrivals = by_material.setdefault(delivery.material, [])
        if first is not None:
            arrivals.append((first, delivery.litres))
    return tuple(
        Stock(material, tuple(sorted(arrivals)), unit=STOCK_UNIT)
        for material, arrivals in sorted(by_material.items())
    )
