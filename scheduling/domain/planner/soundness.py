"""Whether a problem can be stated at all, before anything is searched.

Not for whether it can be solved: that is an answer, not an error.
"""

from collections.abc import Iterable

from orchard.domain.errors import RosterError
from scheduling.domain.people import ItemId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.problem import RosterProblem
from scheduling.domain.season import Item, SeasonProblem


def check_problem(problem: RosterProblem) -> None:
    """Refuse a day that contradicts itself.

    Raises:
        RosterError: With what was found and what to do about it.
    """
    if problem.rounds < 1:
        raise RosterError(f"The session has {problem.rounds} rounds; give it at least one.")
    _refuse_twice("person", [person.id for person in problem.people])
    _refuse_twice("task", [task.id for task in problem.tasks])
    for person in problem.people:
        if len(person.present) != problem.rounds:
            raise RosterError(
                f"{person.name} has presence for {len(person.present)} rounds, the session has "
                f"{problem.rounds}; say for each round whether they are there."
            )
    for task in problem.tasks:
        if task.units < 0 or task.points_per_unit < 0 or task.value_per_unit < 0:
            raise RosterError(
                f"“{task.title}” has {task.units} units of {task.points_per_unit} points and "
                f"worth {task.value_per_unit}; none of these may be below 0."
            )
    _check_locks(problem)


def _check_locks(problem: RosterProblem) -> None:
    people = {person.id for person in problem.people}
    tasks = {task.id for task in problem.tasks}
    for person_id, round_, task_id in problem.locks:
        if person_id not in people:
            raise RosterError(
                f"A lock names person {person_id}, who is not in this session; release the lock."
            )
        if task_id is not None and task_id not in tasks:
            raise RosterError(
                f"A lock names task {task_id}, which this session does not offer; release the lock."
            )
        if not 0 <= round_ < problem.rounds:
            raise RosterError(
                f"A lock names round {round_ + 1} of {problem.rounds}; release the lock."
            )


def check_season(problem: SeasonProblem) -> None:
    """Refuse a season that contradicts itself.

    Raises:
        RosterError: With what was found and what to do about it.
    """
    _refuse_twice("session", [session.id for session in problem.sessions])
    _refuse_twice("item", [item.id for item in problem.items])
    items = {item.id: item for item in problem.items}
    _check_figures(problem)
    if len(problem.discount) != len(problem.sessions):
        raise RosterError(
            f"The season has {len(problem.sessions)} sessions and {len(problem.discount)} "
            "discounts; give one for each session."
        )
    for item in problem.items:
        if (
            item.units < 0
            or item.crew_most < 1
            or any(d.minutes_per_unit < 0 for d in item.demands)
        ):
            raise RosterError(
                f"Item {item.id} has {item.units} units and crews of at most {item.crew_most}; "
                "units and minutes may not be below 0, a crew is at least one person."
            )
        if any(not 0 <= session < len(problem.sessions) for session in item.sessions):
            raise RosterError(f"Item {item.id} names a session the season does not have.")
        for named in (*(before for before, _ in item.after), item.closes):
            if named is not None and named not in items:
                raise RosterError(f"Item {item.id} names item {named}, which is not in the season.")
        _refuse_ring(item.id, items)
        for before, days in item.lag_days:
            if days < 0 or before not in dict(item.after):
                raise RosterError(
                    f"Item {item.id} is to rest {days} days after item {before}; name an item it "
                    "comes after, and 0 days or more."
                )
        if item.closes is not None and items[item.closes].units != item.units:
            raise RosterError(
                f"Item {item.id} closes {item.units} holes, item {item.closes} opens "
                f"{items[item.closes].units}; give both the same number."
            )


def _check_figures(problem: SeasonProblem) -> None:
    for what, percent in (
        ("kept free for weather", problem.kept_free_percent),
        ("of one heavy kind", problem.heavy_most_percent),
    ):
        if not 0 <= percent <= 100:
            raise RosterError(f"{percent} % of a session's minutes {what}; give 0 to 100 %.")
    if problem.young_penalty < 0:
        raise RosterError(
            f"A minute without work for the young costs {problem.young_penalty}; give 0 or more."
        )
    days = [session.on for session in problem.sessions]
    if days != sorted(days) and any(item.lag_days for item in problem.items):
        raise RosterError(
            "The sessions are not in order of day, but some work must wait for days; sort them."
        )


def _refuse_ring(first: ItemId, items: dict[ItemId, Item]) -> None:
    """Refuse items that close each other in a ring."""
    seen = {first}
    current = items[first].closes
    while current is not None:
        if current in seen:
            raise RosterError(
                f"Item {first} closes itself by way of others; correct what it closes."
            )
        seen.add(current)
        current = items[current].closes if current in items else None


def check_limits(limits: Limits) -> None:
    """Refuse limits nobody can work with.

    Raises:
        RosterError: With what was found and what to do about it.
    """
    if not limits.seconds > 0:
        raise RosterError(f"The search was given {limits.seconds} s; give it more than 0 s.")


def _refuse_twice(what: str, ids: Iterable[object]) -> None:
    seen: set[object] = set()
    for one in ids:
        if one in seen:
            raise RosterError(f"The {what} with id {one} is there twice; remove one.")
        seen.add(one)
