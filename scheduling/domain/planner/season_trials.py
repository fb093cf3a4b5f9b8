"""Changes to a season that are worth trying: each as the season it would make.

One more session, more people signed off or of any kind, one more lead, one more of a
tool, earlier and larger deliveries. Not for trying them: `season_remedies` does.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from scheduling.domain.people import Band, ItemId, SessionId
from scheduling.domain.planner.season_parts import holders, may_do
from scheduling.domain.season import (
    PeopleClass,
    PlannedUnits,
    SeasonProblem,
    SeasonSession,
    SetCapacity,
    Stock,
)
from scheduling.domain.wording import day_words, number_words

MORE_PEOPLE = 3
NEW_SESSION = SessionId(-1)  # the id of a session that is only tried


@dataclass(frozen=True, slots=True)
class Trial:
    """A change in words, and the season with it."""

    words: str
    problem: SeasonProblem


def list_trials(problem: SeasonProblem, plan: tuple[PlannedUnits, ...]) -> Iterator[Trial]:
    """Yield the changes worth trying for what a plan leaves out, in an order of their own."""
    done = Counter[ItemId]()
    for part in plan:
        done[part.item] += part.units
    left = [item for item in problem.items if done[item.id] < item.units]
    if not left or not problem.sessions:
        return
    yield from _new_sessions(problem)
    for skill in sorted({demand.skill for item in left for demand in item.demands} - {""}):
        who = f"{_many()} more people signed off for {skill}"
        yield Trial(f"{who}.", _with_people(problem, skill))
    yield Trial(f"{_many()} more adults.", _with_people(problem, ""))
    more_leads = tuple(replace(s, most_crews=s.most_crews + 1) for s in problem.sessions)
    yield Trial("One more crew lead in every session.", replace(problem, sessions=more_leads))
    for tool in sorted({tool for item in left for tool, _ in item.tools}):
        yield Trial(f"One more {tool}.", _with_tool(problem, tool))
    for material in sorted({material for item in left for material, _ in item.materials}):
        need = sum(
            (item.units - done[item.id]) * dict(item.materials).get(material, 0) for item in left
        )
        yield from _deliveries(problem, material, need)


def _new_sessions(problem: SeasonProblem) -> Iterator[Trial]:
    sessions = problem.sessions
    gaps = [(later.on - earlier.on).days for earlier, later in pairwise(sessions)]
    usual = sorted(gaps)[(len(gaps) - 1) // 2] if gaps else 7
    day = sessions[-1].on + timedelta(days=max(1, usual))
    yield Trial(
        f"One more session at the end, on {day_words(day)}.", put_in(problem, len(sessions), day)
    )
    widest = max(gaps, default=0)
    if widest > max(1, usual):
        at = gaps.index(widest) + 1
        middle = sessions[at - 1].on + timedelta(days=widest // 2)
        yield Trial(
            f"One more session in the widest gap, on {day_words(middle)}.",
            put_in(problem, at, middle),
        )


def put_in(problem: SeasonProblem, at: int, day: date) -> SeasonProblem:
    """Return the season with one more session, like the one before it.

    Args:
        problem: At least one session.
        at: The index it comes to, 1 or more; those from there on come one later.
        day: On which it is held.

    Assumes:
        What may be done in both sessions beside it may be done in it.
    """
    like = replace(problem.sessions[at - 1], id=NEW_SESSION, on=day)

    def later(session: int) -> int:
        return session + 1 if session >= at else session

    def may(sessions: tuple[int, ...]) -> bool:
        return at - 1 in sessions and (at == len(problem.sessions) or at in sessions)

    return replace(
        problem,
        sessions=(*problem.sessions[:at], like, *problem.sessions[at:]),
        discount=(*problem.discount[:at], problem.discount[at - 1], *problem.discount[at:]),
        items=tuple(
            replace(
                item,
                sessions=tuple(
                    sorted({*map(later, item.sessions), *((at,) if may(item.sessions) else ())})
                ),
                finish_by=None if item.finish_by is None else later(item.finish_by),
            )
            for item in problem.items
        ),
        materials=tuple(
            replace(
                stock,
                deliveries=tuple((later(s), quantity) for s, quantity in stock.deliveries),
            )
            for stock in problem.materials
        ),
    )


def _many() -> str:
    return number_words(MORE_PEOPLE).capitalize()


def _with_people(problem: SeasonProblem, skill: str) -> SeasonProblem:
    """Return the season with more adults who hold a skill, or with more adults."""
    alike = sorted(
        (len(people.skills), people.id)
        for people in problem.classes
        if people.band == Band.ADULT and (not skill or skill in people.skills)
    )
    if not alike:
        return _with_newcomers(problem, skill)
    kind = alike[0][1]
    return replace(
        problem,
        sessions=tuple(_add_people(session, kind) for session in problem.sessions),
    )


def _with_newcomers(problem: SeasonProblem, skill: str) -> SeasonProblem:
    """Return the season with people of a kind that nobody is of yet."""
    kind = max((people.id for people in problem.classes), default=-1) + 1
    people = PeopleClass(kind, Band.ADULT, (skill,) if skill else ())
    drawn = [
        can
        for item in problem.items
        for demand in item.demands
        if may_do(demand, people) and (can := holders(problem, demand))
    ]
    found = []
    for session in problem.sessions:
        joined = tuple(
            SetCapacity((*capacity.classes, kind), capacity.person_min)
            if any(can <= set(capacity.classes) for can in drawn)
            else capacity
            for capacity in session.capacity
        )
        alone = SetCapacity((kind,), 0)
        found.append(_add_people(replace(session, capacity=(alone, *joined)), kind))
    return replace(problem, classes=(*problem.classes, people), sessions=tuple(found))


def _add_people(session: SeasonSession, kind: int) -> SeasonSession:
    """Return a session with more people of a kind, who bring what a usual person brings."""
    in_all = max((capacity.person_min for capacity in session.capacity), default=0)
    each = min(session.usable_min, in_all // max(1, session.people_expected))
    return replace(
        session,
        people_expected=session.people_expected + MORE_PEOPLE,
        capacity=tuple(
            replace(capacity, person_min=capacity.person_min + MORE_PEOPLE * each)
            if kind in capacity.classes
            else capacity
            for capacity in session.capacity
        ),
    )


def _with_tool(problem: SeasonProblem, tool: str) -> SeasonProblem:
    found = []
    for session in problem.sessions:
        tools = dict(session.tools)
        tools[tool] = tools.get(tool, 0) + 1
        found.append(replace(session, tools=tuple(sorted(tools.items()))))
    return replace(problem, sessions=tuple(found))


def _deliveries(problem: SeasonProblem, material: str, need: int) -> Iterator[Trial]:
    of = {stock.material: stock.deliveries for stock in problem.materials}
    mine = of.get(material, ())
    if any(session > 0 for session, _ in mine):
        early = of | {material: ((0, sum(quantity for _, quantity in mine)),)}
        yield Trial(f"All {material} delivered before the first session.", _stocked(problem, early))
    larger = of | {material: (*mine, (0, need))}
    unit = next((s.unit for s in problem.materials if s.material == material), "")
    amount = f"{need} {unit}" if unit else str(need)
    words = f"{amount} more of {material} before the first session."
    yield Trial(words, _stocked(problem, larger))


def _stocked(problem: SeasonProblem, of: dict[str, tuple[tuple[int, int], ...]]) -> SeasonProblem:
    unit = {stock.material: stock.unit for stock in problem.materials}
    return replace(
        problem,
        materials=tuple(
            Stock(name, tuple(sorted(of[name])), unit.get(name, "")) for name in sorted(of)
        ),
    )
