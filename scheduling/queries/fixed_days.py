"""Reads a session as the page on fixed places shows it: who is where now, and what is fixed."""

from dataclasses import dataclass

from scheduling.domain.hand_edit import places_by_round
from scheduling.domain.people import PersonId
from scheduling.queries.locks import LockLine, load_locks
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster_value


@dataclass(frozen=True, slots=True)
class PlaceNow:
    """Where somebody is in one round of the newest roster, and how that is fixed."""

    task: str
    mark: str  # empty when it is not fixed
    fixed_at: str = ""  # the fixed task, where the roster was made before it was fixed


@dataclass(frozen=True, slots=True)
class PersonNow:
    """Somebody's line: a place for each round."""

    id: PersonId
    name: str
    places: tuple[PlaceNow, ...]


@dataclass(frozen=True, slots=True)
class FixedDay:
    """A session as the page shows it on which places are fixed."""

    people: tuple[PersonNow, ...]
    tasks: tuple[tuple[int, str], ...]
    rounds: int
    locks: tuple[LockLine, ...]
    has_roster: bool


def load_fixed_day(session_id: int) -> FixedDay:
    """Return who comes, what there is to do, what is fixed, and where everybody is now."""
    problem = load_roster_problem(session_id)
    roster = find_current_roster_value(session_id)
    locks = load_locks(session_id, problem)
    titles = {task.id: task.name for task in problem.tasks}
    at = places_by_round(roster) if roster else {}
    fixed = {(lock.person, lock.round): lock for lock in locks if not lock.why_not}

    def place(person: PersonId, round_: int) -> PlaceNow:
        task = at.get(round_, {}).get(person)
        title = "" if task is None else titles.get(task, "")
        lock = fixed.get((person, round_))
        if lock is None:
            return PlaceNow(title, "")
        return PlaceNow(title, lock.mark, lock.task if lock.task != title else "")

    return FixedDay(
        people=tuple(
            PersonNow(
                person.id,
                person.name,
                tuple(place(person.id, round_) for round_ in range(problem.rounds)),
            )
            for person in sorted(problem.people, key=lambda each: (each.id < 0, each.name, each.id))
        ),
        tasks=tuple((int(task.id), task.name) for task in problem.tasks),
        rounds=problem.rounds,
        locks=locks,
        has_roster=roster is not None,
    )
