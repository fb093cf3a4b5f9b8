"""Who learns with whom in a roster, and who is new beside an old hand, in sentences.

Front door: `tell_learning`. For the coordinator and the session lead. Adults are
named; a young person is named only as the roster itself names them to the lead,
where they learn a skill, and is otherwise a number.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from scheduling.domain.people import OLD_HAND, PersonId, TaskId
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.wishes import find_taught
from scheduling.domain.wording import list_words, listed, plural, round_words, stop


@dataclass(frozen=True, slots=True)
class Learning:
    """What a roster does for learning.

    `learners` are sentences on wishes to learn that it meets, `waiting` on those
    it does not although the work is there; `newcomers` on who is new.
    """

    learners: tuple[str, ...]
    waiting: tuple[str, ...]
    newcomers: tuple[str, ...]


def tell_learning(problem: RosterProblem, roster: Roster) -> Learning:
    """Return who learns which skill with whom, and who is new beside whom.

    Args:
        problem: The day.
        roster: Any roster of it.
    """
    people = {person.id: person for person in problem.people}
    tasks = {task.id: task for task in problem.tasks}
    crews: dict[tuple[TaskId, int], list[Person]] = defaultdict(list)
    for a in roster.assignments:
        if a.person in people and a.task in tasks:
            crews[a.task, a.round].append(people[a.person])
    learned: dict[tuple[PersonId, str], list[tuple[int, CrewTask]]] = defaultdict(list)
    for (task, round_), crew in sorted(crews.items(), key=lambda item: item[0][::-1]):
        for person in crew:
            for skill in find_taught(person, tasks[task], problem.on):
                learned[person.id, skill].append((round_, tasks[task]))
    return Learning(
        tuple(_tell_learners(problem, people, crews, learned)),
        tuple(_tell_waiting(problem, set(learned))),
        tuple(_tell_newcomers(problem, crews)),
    )


def _tell_learners(
    problem: RosterProblem,
    people: dict[PersonId, Person],
    crews: dict[tuple[TaskId, int], list[Person]],
    learned: dict[tuple[PersonId, str], list[tuple[int, CrewTask]]],
) -> Iterator[str]:
    for person, skill in sorted(learned, key=lambda key: (people[key[0]].name, key)):
        by_task: dict[TaskId, list[int]] = defaultdict(list)
        for round_, task in learned[person, skill]:
            by_task[task.id].append(round_)
        titles = {task.id: task.title for _, task in learned[person, skill]}
        for task_id, rounds in sorted(by_task.items()):
            able = sorted(
                {
                    other.name
                    for r in rounds
                    for other in crews[task_id, r]
                    if other.id != person and other.holds(skill, problem.on)
                }
            )
            beside = f" with {list_words(able)}" if able else ", nobody signed off beside them"
            yield stop(
                f"{people[person].name} learns {_plain(skill)}{beside}: “{titles[task_id]}”, "
                f"{round_words(sorted(rounds))}"
            )


def _tell_waiting(problem: RosterProblem, met: set[tuple[PersonId, str]]) -> Iterator[str]:
    wanted: dict[str, list[Person]] = defaultdict(list)
    for person in sorted(problem.people, key=lambda one: (one.name, one.id)):
        offered = {s for task in problem.tasks for s in find_taught(person, task, problem.on)}
        for skill in sorted(offered):
            if (person.id, skill) not in met:
                wanted[skill].append(person)
    for skill, waiting in sorted(wanted.items()):
        who = [person.name for person in waiting if not person.is_young]
        young = len(waiting) - len(who)
        who += [_young_people(young)] if young else []
        yield stop(f"To learn {_plain(skill)} another day: {listed(who)}")


def _tell_newcomers(
    problem: RosterProblem, crews: dict[tuple[TaskId, int], list[Person]]
) -> Iterator[str]:
    """Yield a sentence for each adult who is new, and one for the young who are."""
    beside: dict[PersonId, dict[int, list[str]]] = defaultdict(dict)
    for (_, round_), crew in crews.items():
        old = sorted(person.name for person in crew if person.experience >= OLD_HAND)
        for person in crew:
            if person.experience == 0:
                beside[person.id][round_] = old
    new = [person for person in problem.people if person.id in beside]
    for person in sorted(new, key=lambda one: (one.name, one.id)):
        if not person.is_young:
            yield _tell_newcomer(person, beside[person.id])
    rounds = [old for person in new if person.is_young for old in beside[person.id].values()]
    if rounds:
        count = sum(person.is_young for person in new)
        together = sum(bool(old) for old in rounds)
        yield (
            f"New: {_young_people(count)}; an old hand is in the crew in {together} of "
            f"{plural(len(rounds), 'round')} of their work."
        )


def _tell_newcomer(person: Person, by_round: dict[int, list[str]]) -> str:
    together = sorted(r for r, old in by_round.items() if old)
    alone = sorted(r for r, old in by_round.items() if not old)
    said = []
    if together:
        names = sorted({name for r in together for name in by_round[r]})
        said.append(f"with {list_words(names)} in {round_words(together)}")
    if alone:
        said.append(f"without an old hand in {round_words(alone)}")
    return stop(f"{person.name} is new: {', '.join(said)}")


def _young_people(count: int) -> str:
    return "one young person" if count == 1 else f"{count} young people"


def _plain(skill: str) -> str:
    return skill.replace("_", " ")
