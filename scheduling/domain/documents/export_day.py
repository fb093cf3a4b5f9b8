"""A session's roster problem as a `day-problem/1`: as much of the rule book as the format can say.

People appear as ids alone: "p17" is the person with that number, "g3-5" the
fifth pupil of class 3; no names, no notes, and of young people not what they
have had this season. Figures are the strictest of the adopted sets. What the
format cannot say is listed in sentences (`unsaid`): an answer is judged by the
product's own rules when it comes back.

The other way round, from a document to the planner, is `day_case`.
"""

from collections import defaultdict
from dataclasses import dataclass
from math import lcm

from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    Condition,
    Forbid,
    MinutesAtMost,
    Per,
    ToolsAtMost,
    binding_conditions,
)
from scheduling.domain.documents.day_problem import (
    MOST_MINUTES,
    RESTRICTIONS,
    ByBand,
    DayDocument,
    DayRules,
    PersonEntry,
    Published,
    TaskEntry,
)
from scheduling.domain.first_aid import first_aiders_here
from scheduling.domain.people import ADULT_AGE, PersonId, Restriction, TaskId, band_of, find_pupil
from scheduling.domain.points import points_by_band
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.supervision import needs_supervision, why_not_supervising

POINTS_RULE = "HAV-1"


@dataclass(frozen=True, slots=True)
class Barred:
    """What the rule book's refusals come to.

    `rounds` are those in which somebody may do nothing, `tasks` those nobody
    may do, `people` those who may not do a task in any round.
    """

    rounds: dict[PersonId, frozenset[int]]
    tasks: frozenset[TaskId]
    people: dict[TaskId, frozenset[PersonId]]


def person_key(person: PersonId) -> str:
    """Return the name that a person or pupil has in documents."""
    pupil = find_pupil(person)
    return f"p{person}" if pupil is None else f"g{pupil[0]}-{pupil[1]}"


def task_key(task: TaskId) -> str:
    """Return the name that a task has in documents."""
    return f"t{task}"


def export_day(
    problem: RosterProblem, conditions: tuple[Condition, ...], *, name: str
) -> DayDocument:
    """Return a session's problem as a document.

    Args:
        problem: The session.
        conditions: What the rule book demands of it.
        name: What the document and its answer are called.
    """
    binding = binding_conditions(conditions)
    barred = find_barred(problem, binding)
    tasks = tuple(_task(problem, binding, barred, task) for task in problem.tasks)
    return DayDocument(
        name=name,
        on=problem.on,
        rounds=problem.rounds,
        round_minutes=problem.round_minutes,
        tools=_tools(problem, binding),
        people=tuple(_person(problem, binding, barred, person) for person in problem.people),
        tasks=tasks,
        rules=_rules(problem, binding),
        weights=problem.weights,
        published=_published(problem),
    )


def find_barred(problem: RosterProblem, binding: tuple[Condition, ...]) -> Barred:
    """Return who is refused what, by all refusals together."""
    everyone = frozenset(person.id for person in problem.people)
    every_task = frozenset(task.id for task in problem.tasks)
    rounds: dict[PersonId, set[int]] = defaultdict(set)
    people: dict[TaskId, set[PersonId]] = defaultdict(set)
    for condition in binding:
        if isinstance(condition, AtLeast) and condition.people == () and condition.tasks:
            # A crew that needs somebody whom nobody is: no crew at all.
            for task in condition.tasks if condition.least > 0 else ():
                people[task] |= everyone
        if not isinstance(condition, Forbid):
            continue
        whom = everyone if condition.people is None else everyone & set(condition.people)
        what = every_task if condition.tasks is None else every_task & set(condition.tasks)
        if what == every_task:
            for person in whom:
                when = range(problem.rounds) if condition.rounds is None else condition.rounds
                rounds[person] |= set(when)
        elif condition.rounds is None:
            for task in what:
                people[task] |= whom
    return Barred(
        {person: frozenset(when) for person, when in rounds.items()},
        frozenset(task for task, whom in people.items() if whom == everyone),
        {task: frozenset(whom) for task, whom in people.items()},
    )


def _person(
    problem: RosterProblem, binding: tuple[Condition, ...], barred: Barred, person: Person
) -> PersonEntry:
    known = {other.id for other in problem.people}
    away = barred.rounds.get(person.id, frozenset())
    guardian = person.guardian if person.guardian in known else None
    return PersonEntry(
        id=person_key(person.id),
        age=person.age,
        checked=counts_as_adult(problem, person),
        skills=tuple(
            (held.skill, held.last_day)
            for held in sorted(person.skills, key=lambda held: held.skill)
            if _counts(problem, binding, person, held.skill)
        ),
        restrictions=tuple(sorted(set(person.restrictions) & set(RESTRICTIONS))),
        guardian=None if guardian is None else person_key(guardian),
        group=None if person.group is None else f"g{person.group}",
        staff_of=None if person.staff_of is None else f"g{person.staff_of}",
        experience=max(0, min(2, person.experience)),
        preferences=person.preferences,
        present=tuple(here and r not in away for r, here in enumerate(person.present)),
        wishes=tuple(sorted(set(person.wished_skills))),
        heavy_liking=person.heavy_liking,
        companions=tuple(
            sorted(person_key(one) for one in set(person.companions) & known - {person.id})
        ),
        past=None if person.is_young else person.past,
    )


def counts_as_adult(problem: RosterProblem, person: Person) -> bool:
    """Say whether somebody counts as a supervising adult by every table and in every round."""
    return (
        person.age >= ADULT_AGE
        and person.checked
        and not any(
            why_not_supervising(problem, person, table, round_)
            for table in problem.policy.tables
            for round_ in range(problem.rounds)
            if person.present[round_]
        )
    )


def _counts(
    problem: RosterProblem, binding: tuple[Condition, ...], person: Person, skill: str
) -> bool:
    """Say whether the rules let somebody's sign-off count: not everybody who holds it may lead."""
    if skill == problem.lead_skill:
        return all(
            person.id in (condition.people or ())
            for condition in binding
            if isinstance(condition, AtLeast) and condition.reason.rule == "LED-1"
        )
    if skill == problem.first_aid_skill and person.holds(skill, problem.on):
        return any(
            person.id == aider.id
            for round_ in range(problem.rounds)
            for aider in first_aiders_here(problem, round_)
        )
    return True


def _task(
    problem: RosterProblem, binding: tuple[Condition, ...], barred: Barred, task: CrewTask
) -> TaskEntry:
    offered = {other.id for other in problem.tasks}
    age = oldest_refused(problem, barred, task)
    least, most = (0, 0) if task.id in barred.tasks else (task.crew_least, task.crew_most)
    return TaskEntry(
        id=task_key(task.id),
        kind=task.kind,
        zone=sorted({other.zone for other in problem.tasks}).index(task.zone),
        required=task.required,
        units=max(0, task.units),
        points_per_unit=task.points_per_unit,
        value_per_unit=task.value_per_unit,
        crew_min=least,
        crew_max=most,
        skills=tuple(sorted(task_skills(problem, binding, task, age).items())),
        tools=tuple(sorted((need.tool, need.count) for need in task.tools)),
        minimum_age=age,
        heavy=task.heavy,
        kneeling=task.kneeling,
        powered_minutes_per_round=_powered(problem, binding).get(task.id, 0),
        closes=task_key(task.closes) if task.closes in offered else None,
    )


def oldest_refused(problem: RosterProblem, barred: Barred, task: CrewTask) -> int:
    """Return the age from which a task may be done: everybody younger is refused it."""
    refused = barred.people.get(task.id, frozenset())
    allowed = [person.age for person in problem.people if person.id not in refused]
    youngest = min(allowed, default=0)
    below = [p.age + 1 for p in problem.people if p.id in refused and p.age < youngest]
    return max([task.minimum_age, *below])


def task_skills(
    problem: RosterProblem, binding: tuple[Condition, ...], task: CrewTask, age: int
) -> dict[str, int]:
    """Return how many of a crew must hold each skill, so far as a skill says who counts."""
    found = {need.skill: need.count for need in task.skills if need.count > 0}
    for condition in binding:
        if isinstance(condition, AtLeast) and condition.tasks == (task.id,):
            skill = named_skill(problem, condition, age)
            if skill is not None:
                found[skill] = max(found.get(skill, 0), condition.least)
    return found


def named_skill(problem: RosterProblem, condition: AtLeast, age: int) -> str | None:
    """Return the skill that exactly those hold, of this age or over, who count for a condition."""
    if condition.per is not Per.CREW or condition.people is None or condition.always:
        return None
    counted = {p.id for p in problem.people if p.id in condition.people and p.age >= age}
    for skill in sorted({held.skill for person in problem.people for held in person.skills}):
        holders = {p.id for p in problem.people if p.age >= age and p.holds(skill, problem.on)}
        if counted and holders == counted:
            return skill
    return None


def _powered(problem: RosterProblem, binding: tuple[Condition, ...]) -> dict[TaskId, int]:
    """Return what a round at each powered task counts: vibration points where they are limited."""
    minutes = {
        task.id: task.powered_min_per_round or problem.round_minutes
        for task in powered_tasks(problem)
    }
    for condition in binding:
        if isinstance(condition, MinutesAtMost) and condition.reason.rule == POINTS_RULE:
            minutes |= {task: max(1, points) for task, points in condition.minutes}
    return {task: min(MOST_MINUTES, counted) for task, counted in minutes.items()}


def _tools(problem: RosterProblem, binding: tuple[Condition, ...]) -> tuple[tuple[str, int], ...]:
    on_hand = {tool.code: tool.on_hand for tool in problem.tools}
    for condition in binding:
        if isinstance(condition, ToolsAtMost):
            tool = condition.tool
            on_hand[tool] = min(on_hand.get(tool, condition.on_hand), condition.on_hand)
    return tuple(sorted((tool, max(0, count)) for tool, count in on_hand.items()))


def _rules(problem: RosterProblem, binding: tuple[Condition, ...]) -> DayRules:
    policy = problem.policy
    denominator, shares = supervision_shares(problem)
    points = [
        c.most for c in binding if isinstance(c, MinutesAtMost) and c.reason.rule == POINTS_RULE
    ]
    return DayRules(
        lead_skill=problem.lead_skill,
        first_aid_skill=problem.first_aid_skill,
        supervision_denominator=denominator,
        supervision_weights=shares,
        checked_adults_per_zone=max(
            [policy.adults_in_sight, *(table.least_adults for table in policy.tables)]
        ),
        smallest_class_part=policy.smallest_class_part,
        powered_minutes_per_person=min(points, default=problem.rounds * MOST_MINUTES),
        heavy_rounds_in_a_row=policy.heavy_rounds_in_a_row,
        long_kneeling_rounds=policy.kneeling_rounds_if_limited,
        rounds_before_rest=_rests(problem, binding),
        points_per_round=points_by_band(problem),
    )


def supervision_shares(problem: RosterProblem) -> tuple[int, ByBand]:
    """Return the denominator, and each band's share of an adult by the strictest table.

    Of each age band the smallest ratio counts that any adopted table has for
    an age that comes; where none has a number the share is 0.
    """
    ratios: dict[int, int] = {}
    for person in problem.people:
        if not needs_supervision(problem, person):
            continue
        for table in problem.policy.tables:
            ratio = table.per_adult(person.age)
            band = band_of(person.age)
            if ratio > 0:
                ratios[band] = min(ratios.get(band, ratio), ratio)
    denominator = lcm(*ratios.values()) if ratios else 1
    shares = [denominator // ratios[band] if band in ratios else 0 for band in range(4)]
    return denominator, (shares[0], shares[1], shares[2], 0)


def _rests(problem: RosterProblem, binding: tuple[Condition, ...]) -> ByBand:
    longest = [problem.rounds] * 4
    bands = {person.id: band_of(person.age) for person in problem.people}
    for condition in binding:
        if is_rest(problem, condition) and isinstance(condition, AtMost):
            for person in bands if condition.people is None else condition.people:
                band = bands.get(person)
                if band is not None:
                    longest[band] = min(longest[band], condition.most)
    return longest[0], longest[1], longest[2], longest[3]


def is_rest(problem: RosterProblem, condition: Condition) -> bool:
    """Say whether a condition asks for a round of rest after so many in a row."""
    return (
        isinstance(condition, AtMost)
        and condition.per is Per.PERSON
        and condition.tasks is None
        and condition.rounds is not None
        and len(condition.rounds) == condition.most + 1 <= problem.rounds
        and condition.rounds[-1] - condition.rounds[0] == condition.most
    )


def _published(problem: RosterProblem) -> Published | None:
    if not problem.published:
        return None
    rows: dict[PersonId, list[str | None]] = {}
    for person, round_, task in problem.published:
        row = rows.setdefault(person, [None] * problem.rounds)
        if 0 <= round_ < problem.rounds and task is not None:
            row[round_] = task_key(task)
    return tuple(sorted((person_key(person), tuple(row)) for person, row in rows.items()))


def is_restricted(person: Person, task: CrewTask) -> bool:
    """Say whether what somebody asked for keeps them from a task by the format's own words."""
    return (Restriction.NO_LIFTING in person.restrictions and task.heavy) or (
        Restriction.NO_KNEELING in person.restrictions and task.kneeling
    )
