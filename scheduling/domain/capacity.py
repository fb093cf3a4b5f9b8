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
from scheduling.domain.people import Band, ItemId, SessionId
from scheduling.domain.season import (
    Demand,
    Item,
    PeopleClass,
    PlannedUnits,
    SeasonProblem,
    SeasonSession,
    SetCapacity,
    Stock,
)

CAUTION = 0.85  # invented default: people are slower and fewer than hoped
LEADING_SHARE = 0.5  # invented default: the part of a session a lead spends on leading
PEOPLE_PER_CREW = 5  # invented default: how many people share a lead
DISCOUNT = 0.98  # invented default: what work keeps of its worth when a session later
PIECE_PERSON_MIN = 120  # invented default: about what a crew of four does in a round
MOST_PIECES = 4  # invented default: a task is spread over no more parts than this
SPLIT_SHARE = 0.1  # invented default: what coming back to a task costs of its worth
UNFINISHED_SHARE = 0.05  # invented default: what a task left unfinished costs of its worth
MOST_SETS = 48  # beyond this only the largest unions are left out


@dataclass(frozen=True, slots=True)
class SeasonTask:
    """A task with the units still open, and by when they should be done.

    `finish_by` is the last day by which it should be finished, or None.
    `not_on` are days on which it may not be done, such as those that no locate
    covers.
    """

    task: PlannedTask
    units_open: int
    finish_by: date | None = None
    not_on: frozenset[date] = frozenset()


@dataclass(frozen=True, slots=True)
class OutlookPerson:
    """One person who may come: band, skills in date, and the chance of coming, 0 to 1."""

    band: Band
    skills: tuple[str, ...]
    likely: float


@dataclass(frozen=True, slots=True)
class SessionOutlook:
    """One session as it may turn out. `usable_min` is one person's working minutes in it."""

    id: SessionId
    on: date
    usable_min: int
    rounds: int
    people: tuple[OutlookPerson, ...]
    tools: tuple[tuple[str, int], ...]
    most_crews: int


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

    Returns:
        A season with sessions in order of day. Minutes per unit are the mean
        effort, rounded to a whole minute and never 0.

    Assumes:
        Minutes of a set of classes are chance of coming × usable minutes ×
        pace × caution, less half a session for the lead of each expected crew
        of five: all invented defaults. Young people's minutes are
        counted even where the day's supervision may not allow them all. The skilled part
        of a crew is reckoned at its largest size. A minimum age inside a band
        asks for the next band, except under 12. A task that follows one which
        is neither open nor in the season follows nothing. Tasks are moved in
        whole parts of about a crew's round, boring with its filling in equal
        parts. Going back to a task in another session costs a tenth of its
        worth; each session at whose end it is late a twentieth: from its last
        day on, or for any other task the season's last session. Invented
        defaults.
    """
    ordered = tuple(sorted(sessions, key=lambda session: (session.on, session.id)))
    open_tasks = {t.task.key: t for t in tasks if t.units_open > 0}
    items = tuple(_build_item(t, open_tasks, ordered) for _, t in sorted(open_tasks.items()))
    wanted = {demand.skill for item in items for demand in item.demands} - {""}
    classes = _build_classes(ordered, wanted | {lead_skill})
    sets = _build_sets(items, classes)
    return SeasonProblem(
        name=name,
        classes=classes,
        sessions=tuple(
            _build_session(session, classes, sets, pace_percent, lead_skill, caution)
            for session in ordered
        ),
        items=items,
        materials=_build_stock(stock, ordered),
        discount=tuple(round(1000 * DISCOUNT**number) for number in range(len(ordered))),
    )


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
        title=task.title,
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


def _build_classes(
    sessions: tuple[SessionOutlook, ...], skills: set[str]
) -> tuple[PeopleClass, ...]:
    kinds = {
        (person.band, tuple(sorted(skills & set(person.skills))))
        for session in sessions
        for person in session.people
    }
    return tuple(PeopleClass(number, *kind) for number, kind in enumerate(sorted(kinds)))


def _holders(demand: Demand, classes: tuple[PeopleClass, ...]) -> frozenset[int]:
    return frozenset(
        people.id
        for people in classes
        if people.band >= demand.least_band and (not demand.skill or demand.skill in people.skills)
    )


def _build_sets(
    items: tuple[Item, ...], classes: tuple[PeopleClass, ...]
) -> tuple[frozenset[int], ...]:
    """Return the sets of classes that some demand, or several together, can draw on.

    By Hall's condition these are all that can be overdrawn; a set missing when
    there are very many only makes the season more hopeful.
    """
    demands = sorted({demand for item in items for demand in item.demands}, key=repr)
    drawn = {_holders(demand, classes) for demand in demands}
    sets = set(drawn)
    frontier = set(drawn)
    while frontier and len(sets) < MOST_SETS:
        frontier = {one | other for one in frontier for other in drawn} - sets
        sets |= frontier
    in_order = sorted(sets, key=lambda among: (among not in drawn, len(among), sorted(among)))
    kept = in_order[: max(MOST_SETS, len(drawn))]
    everyone = frozenset(people.id for people in classes)
    return tuple(kept) if everyone in kept else (*kept, everyone)


def _build_session(
    session: SessionOutlook,
    classes: tuple[PeopleClass, ...],
    sets: tuple[frozenset[int], ...],
    pace_percent: tuple[int, int, int, int],
    lead_skill: str,
    caution: float,
) -> SeasonSession:
    minutes = _class_minutes(session, classes, pace_percent)
    leads = frozenset(people.id for people in classes if lead_skill in people.skills)
    expected = sum(person.likely for person in session.people)
    crews = min(session.most_crews, ceil(expected / PEOPLE_PER_CREW))
    leading = crews * session.usable_min * LEADING_SHARE
    return SeasonSession(
        id=session.id,
        on=session.on,
        usable_min=session.usable_min,
        people_expected=floor(expected + 1e-9),
        capacity=tuple(
            SetCapacity(
                tuple(sorted(among)),
                # Leading is a demand on the leads, so it counts against every set they are in.
                max(
                    0, floor(caution * sum(minutes[c] for c in among) - leading * (leads <= among))
                ),
            )
            for among in sorted(sets, key=lambda among: (len(among), sorted(among)))
        ),
        tools=tuple(sorted(session.tools)),
        most_crews=session.most_crews,
    )


def _class_minutes(
    session: SessionOutlook,
    classes: tuple[PeopleClass, ...],
    pace_percent: tuple[int, int, int, int],
) -> dict[int, float]:
    """Return the expected minutes of each class in the session, at adult pace."""
    known = {skill for people in classes for skill in people.skills}
    number = {(people.band, people.skills): people.id for people in classes}
    minutes = {people.id: 0.0 for people in classes}
    for person in session.people:
        kind = number[person.band, tuple(sorted(known & set(person.skills)))]
        minutes[kind] += person.likely * session.usable_min * pace_percent[person.band] / 100
    return minutes


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
        Stock(material, tuple(sorted(arrivals)))
        for material, arrivals in sorted(by_material.items())
    )
