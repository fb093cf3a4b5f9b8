"""Repairs a session's roster for what happened: shown first, never published by itself.

At the gate there are two seconds for it, within the page (`preview_repair`);
who wants a better one asks for a search (`search_repair`, asked for by `day_questions`).
What is shown is kept by `services.shown_rosters`, so that nobody keeps a
repair that nobody saw.
"""

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from scheduling.domain.day_answers import ChangeLine, PersonSeen, PlaceSeen, RepairSeen
from scheduling.domain.day_events import DayEvents
from scheduling.domain.day_happened import Happened, read_happened
from scheduling.domain.errors import RosterUnknown
from scheduling.domain.hand_edit import places_by_round
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.roster import Roster, SolveStatus
from scheduling.domain.rules import all_conditions
from scheduling.domain.wording import listed, plural, round_words
from scheduling.queries.day_answers import mark_basis
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.answered import Answered, Watch
from scheduling.services.rosters import REPAIRED
from scheduling.services.shown_rosters import Made, seal_roster
from scheduling.services.walk_ins import WalkIns, admit_walk_ins

if TYPE_CHECKING:
    from scheduling.domain.planner.repair import Repair

REPAIR_SECONDS = 2.0  # within the page: somebody stands at the gate
NO_TASK = "no task"
GONE = "not there"
NOT_WORKED = "not worked"


def preview_repair(
    *,
    session_id: int,
    roster_id: int,
    happened: Happened,
    limits: Limits | None = None,
) -> RepairSeen:
    """Return the repair of the newest roster for what happened, in words; nothing is kept.

    Raises:
        RosterUnknown: If there is no roster, or a newer one was made meanwhile.
        RosterError: If the events name what the day does not have.
    """
    limits = limits or Limits(seconds=REPAIR_SECONDS)
    problem = load_roster_problem(session_id)
    return _repair(session_id, problem, roster_id, happened, limits, Watch())


def search_repair(
    *, session_id: int, limits: Limits, asked: dict[str, Any], watch: Watch
) -> Answered:
    """Return the repair that was asked for.

    Raises:
        RosterUnknown: If a newer roster was made meanwhile.
        RosterError: If the events name what the day does not have any more.
    """
    problem = load_roster_problem(session_id)
    roster_id = int(asked["roster"])
    happened = read_happened(asked["happened"])
    told = _repair(session_id, problem, roster_id, happened, limits, watch)
    return Answered(told, mark_basis(problem, roster_id), told.seconds, told.status.value)


def refuse_older_roster(session_id: int, roster_id: int) -> None:
    """Refuse to repair a roster that is not the newest.

    Raises:
        RosterUnknown: If there is no roster, or a newer one was made meanwhile.
    """
    if find_current_id(session_id) != roster_id:
        raise RosterUnknown(
            "A newer roster was made meanwhile, or there is none. Look at the newest one first."
        )


def _repair(
    session_id: int,
    problem: RosterProblem,
    roster_id: int,
    happened: Happened,
    limits: Limits,
    watch: Watch,
) -> RepairSeen:
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.repair import repair_roster

    refuse_older_roster(session_id, roster_id)
    before = load_roster(roster_id)
    walk_ins = admit_walk_ins(session_id, problem, happened.came)
    events = replace(happened.events, came=walk_ins.people)
    repair = repair_roster(
        problem, all_conditions, before, events, limits,
        on_progress=watch.on_progress, should_stop=watch.should_stop,
    )  # fmt: skip
    sealed = ""
    if repair.roster is not None and (
        walk_ins.people or set(repair.roster.assignments) != set(before.assignments)
    ):
        sealed = seal_roster(
            session_id=session_id,
            before=roster_id,
            problem=problem,
            roster=repair.roster,
            made=Made(REPAIRED, repair.seconds, repair.seed),
            came=tuple(person.id for person in walk_ins.people),
        )
    there = replace(problem, people=(*problem.people, *walk_ins.people))
    return RepairSeen(
        status=repair.status,
        how_good=say_how_good(repair),
        undone=_say_undone(repair),
        changes=_changes(problem, repair),
        people=_people(there, before, repair.roster, events) if repair.roster else (),
        stops=repair.stops,
        seconds=repair.seconds,
        sealed=sealed,
        came=_say_came(there, walk_ins, repair.roster),
        taken_in=len(walk_ins.people),
    )


def _say_came(problem: RosterProblem, walk_ins: WalkIns, roster: Roster | None) -> tuple[str, ...]:
    """Say of everybody who came without a sign-up what they do, or why they cannot stay."""
    titles = {task.id: task.name for task in problem.tasks}
    said = []
    for person in walk_ins.people:
        cells = [c for c in roster.assignments if c.person == person.id] if roster else []
        where = listed(f"“{titles[c.task]}” in {round_words([c.round])}" for c in cells)
        said.append(
            f"{person.name} is taken in: {where}."
            if where
            else f"{person.name} is taken in, without a task: none was found that they may do."
        )
    return (*said, *walk_ins.refused)


def say_how_good(repair: "Repair") -> str:
    """Return a sentence that says whether fewer places could change, and how that is known."""
    if repair.roster is None:
        return ""
    changed, least = len(repair.changed), repair.changes_at_least
    if not changed:
        return "Nobody who is there changes place: the roster stands for those who are there."
    verb = "changes" if changed == 1 else "change"
    said = f"{changed} of {plural(repair.told, 'place')} told {verb}. "
    if repair.status is SolveStatus.BEST:
        return (
            said + "Proven: no repair does more of the work that must be done, or as much of "
            "it with fewer changes."
        )
    if changed == least:
        return (
            said + "Proven to be the fewest for as much of the work that must be done; the "
            "rest was not searched to its end."
        )
    if least:
        return (
            said + f"At least {least} must, for as much of the work that must be done: "
            f"{plural(changed - least, 'change')} may be more than is needed."
        )
    return said + "Time ran out before it was proven how few would do."


def _say_undone(repair: "Repair") -> str:
    if repair.roster is None:
        return ""
    if not repair.required_left:
        return "All the work that must be done is done."
    known = "" if repair.status is SolveStatus.BEST else ", as far as the search came"
    return f"Work that must be done worth {repair.required_left} is left undone{known}."


def _names(problem: RosterProblem) -> dict[PersonId, str]:
    """Return the name of each, of a pupil the class's."""
    groups = {group.id: group.name for group in problem.groups}
    return {
        person.id: person.name if person.group is None else groups.get(person.group, person.name)
        for person in problem.people
    }


def _titles(problem: RosterProblem) -> dict[TaskId | None, str]:
    return {None: NO_TASK} | {task.id: task.name for task in problem.tasks}


def _counted(name: str, number: int, *, is_class: bool) -> str:
    return f"{name}, {plural(number, 'pupil')}" if is_class else name


def _changes(problem: RosterProblem, repair: "Repair") -> tuple[ChangeLine, ...]:
    names, titles = _names(problem), _titles(problem)
    pupils = {person.id for person in problem.people if person.group is not None}
    alike = Counter(
        (
            each.round,
            names[each.person],
            None if each.person in pupils else each.person,
            titles[each.was],
            titles[each.now],
        )
        for each in repair.changed
    )
    return tuple(
        ChangeLine(_counted(name, number, is_class=person is None), round_ + 1, was, now)
        for (round_, name, person, was, now), number in sorted(
            alike.items(), key=lambda item: (*item[0][:2], item[0][2] or 0, *item[0][3:])
        )
    )


def _people(
    problem: RosterProblem, before: Roster, after: Roster, events: DayEvents
) -> tuple[PersonSeen, ...]:
    """Return everybody's rounds as repaired, pupils of a class who do the same as one."""
    names, titles = _names(problem), _titles(problem)
    was, now = places_by_round(before), places_by_round(after)
    left, late = dict(events.left), dict(events.late)
    alike: Counter[tuple[str, PersonId | None, tuple[PlaceSeen, ...]]] = Counter()
    for person in problem.people:
        first, gone = late.get(person.id, 0), left.get(person.id, problem.rounds)
        places = tuple(
            PlaceSeen(GONE)
            if not first <= r < gone or not _is_there(person, r)
            else PlaceSeen(NOT_WORKED)
            if r in events.dropped
            else _place(titles, was.get(r, {}).get(person.id), now.get(r, {}).get(person.id))
            for r in range(problem.rounds)
        )
        alike[names[person.id], None if person.group is not None else person.id, places] += 1
    return tuple(
        PersonSeen(_counted(name, number, is_class=person is None), places)
        for (name, person, places), number in sorted(
            alike.items(),
            key=lambda item: (item[0][1] is not None, item[0][0], item[0][1] or 0, -item[1]),
        )
    )


def _is_there(person: Person, round_: int) -> bool:
    return person.present[round_]


def _place(titles: dict[TaskId | None, str], was: TaskId | None, now: TaskId | None) -> PlaceSeen:
    return PlaceSeen(titles.get(now, NO_TASK), "" if was == now else titles.get(was, NO_TASK))
