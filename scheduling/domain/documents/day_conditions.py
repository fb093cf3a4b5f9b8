"""The sentences of `day-problem/1` as conditions of the vocabulary, one function a subject.

What no condition says here is the shape of any roster: one task a person and
round, only people present, units within the task's and within the points.
"""

from collections import defaultdict
from collections.abc import Iterator

from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Reason,
    ToolsAtMost,
)
from scheduling.domain.documents.day_problem import DayDocument
from scheduling.domain.people import PersonId, Restriction, TaskId, band_of
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.wording import list_words, round_words, stop

SOURCE = "The problem document"
YOUNG_CREW_LEAST = 3  # said in the format itself, no figure of the document


def build_day_conditions(document: DayDocument, problem: RosterProblem) -> tuple[Condition, ...]:
    """Return every condition of a day's document.

    Args:
        document: Holds the figures of the rules.
        problem: The same day in the planner's numbers.

    Returns:
        The same conditions in the same order for the same document.
    """
    return (
        *_of_age(problem),
        *_restrictions(document, problem),
        *_crews(problem),
        *_tools(document, problem),
        *_supervision(document, problem),
        *_guardians(problem),
        *_classes(document, problem),
        *_rests(document, problem),
        *_powered_minutes(document, problem),
        *_first_aid(problem),
        *_close_outs(problem),
    )


def _reason(rule: str, text: str, remedy: str = "") -> Reason:
    return Reason(rule, text, SOURCE, remedy)


def _ids(people: list[Person]) -> tuple[PersonId, ...]:
    return tuple(person.id for person in people)


def _names(people: list[Person]) -> str:
    return stop(list_words([person.name for person in people], most=8))


def _of_age(problem: RosterProblem) -> Iterator[Condition]:
    for task in problem.tasks:
        younger = [person for person in problem.people if person.age < task.minimum_age]
        if younger:
            text = f"“{task.title}” is for people of {task.minimum_age} or over."
            yield Forbid(_reason("AGE-1", text), _ids(younger), (task.id,))


def _restrictions(document: DayDocument, problem: RosterProblem) -> Iterator[Condition]:
    heavy = tuple(task.id for task in problem.tasks if task.heavy)
    kneeling = tuple(task.id for task in problem.tasks if task.kneeling)

    def asked(restriction: Restriction) -> tuple[PersonId, ...]:
        return _ids([p for p in problem.people if restriction in p.restrictions])

    if heavy and (people := asked(Restriction.NO_LIFTING)):
        yield Forbid(_reason("RST-1", "Who asked for no lifting has no heavy task."), people, heavy)
    if kneeling and (people := asked(Restriction.NO_KNEELING)):
        text = "Who asked for no kneeling has no kneeling task."
        yield Forbid(_reason("RST-1", text), people, kneeling)
    if kneeling and (people := asked(Restriction.NO_LONG_KNEELING)):
        most = document.rules.long_kneeling_rounds
        text = f"Who asked for no long kneeling has at most {most} rounds of kneeling work."
        yield AtMost(_reason("KNE-1", text), most, people, kneeling, Per.PERSON)


def _crews(problem: RosterProblem) -> Iterator[Condition]:
    leads = [p for p in problem.people if p.holds(problem.lead_skill, problem.on)]
    text = f"Every crew has a lead (“{problem.lead_skill}” in date): {_names(leads)}"
    yield AtLeast(_reason("LED-1", text, "Sign off a lead."), 1, _ids(leads), None, Per.CREW)
    for task in problem.tasks:
        yield from _crew_of(problem, task)


def _crew_of(problem: RosterProblem, task: CrewTask) -> Iterator[Condition]:
    at, where = (task.id,), f"A crew at “{task.title}”"
    if task.crew_least > 1:
        text = f"{where} has at least {task.crew_least} people."
        yield AtLeast(_reason("CRW-1", text), task.crew_least, None, at, Per.CREW)
    text = f"{where} has at most {task.crew_most} people."
    yield AtMost(_reason("CRW-1", text), task.crew_most, None, at, Per.CREW)
    for need in task.skills:
        able = [p for p in problem.people if p.holds(need.skill, problem.on)]
        if need.count:
            text = f"{where} has at least {need.count} with “{need.skill}” in date: {_names(able)}"
            yield AtLeast(_reason("SKL-1", text), need.count, _ids(able), at, Per.CREW)


def _tools(document: DayDocument, problem: RosterProblem) -> Iterator[Condition]:
    on_hand = dict(document.tools)
    uses: dict[str, list[tuple[TaskId, int]]] = defaultdict(list)
    for task in problem.tasks:
        for need in task.tools:
            if need.count:
                uses[need.tool].append((task.id, need.count))
    for tool, by_task in sorted(uses.items()):
        there = on_hand.get(tool, 0)
        text = f"{there} of the tool “{tool}” are on hand in a round."
        yield ToolsAtMost(_reason("TOL-1", text), tool, there, tuple(by_task))


def _supervision(document: DayDocument, problem: RosterProblem) -> Iterator[Condition]:
    """Return what the young people of a crew ask of it and of its zone.

    The ratio is a balance of shares over the denominator; the crew's and the
    zone's numbers are asked for only where a young person is, which is what
    `OnlyWith` says: with any of the young in the group, its partners count so
    many.
    """
    rules = document.rules
    young = [person for person in problem.people if person.is_young]
    adults = [person for person in problem.people if person.checked and not person.is_young]
    if not young:
        return
    here = f"checked adults: {_names(adults)}"
    text = f"A crew's young people need checked adults by the document's ratio; {here}"
    yield Balance(
        _reason("SUP-1", text, "Move a checked adult into the crew."),
        tuple((person.id, rules.supervision_denominator) for person in adults),
        tuple((p.id, rules.supervision_weights[band_of(p.age)]) for p in young),
        Per.CREW,
    )
    least = rules.checked_adults_per_zone
    text = f"A zone with young people has at least {least} checked adults; {here}"
    yield OnlyWith(
        _reason("SUP-2", text, "Move a checked adult into the zone."),
        _ids(young), tuple((person.id, 1) for person in adults), least, Per.ZONE,
    )  # fmt: skip
    text = f"A crew with a young person in it has at least {YOUNG_CREW_LEAST} people."
    yield OnlyWith(
        _reason("SUP-3", text, "Join two crews."),
        _ids(young), tuple((p.id, 1) for p in problem.people), YOUNG_CREW_LEAST, Per.CREW,
    )  # fmt: skip


def _guardians(problem: RosterProblem) -> Iterator[Condition]:
    names = {person.id: person.name for person in problem.people}
    for child in problem.people:
        if child.guardian is not None and child.age < 12:
            # A guardian who left is nobody's partner: the child then works nowhere.
            who = names.get(child.guardian, "who is not there")
            text = f"{child.name} works in the crew of the guardian {who}."
            reason = _reason("GUA-1", text)
            yield OnlyWith(reason, (child.id,), ((child.guardian, 1),), 1, Per.CREW)


def _classes(document: DayDocument, problem: RosterProblem) -> Iterator[Condition]:
    least = document.rules.smallest_class_part
    for group in problem.groups:
        pupils = [p for p in problem.people if p.group == group.id]
        staff = [p for p in problem.people if p.staff_of == group.id]
        if not pupils:
            continue
        text = f"At least {least} pupils of {group.name} work together in a crew."
        yield OnlyWith(
            _reason("GRP-1", text), _ids(pupils), tuple((p.id, 1) for p in pupils), least, Per.CREW
        )
        text = f"Pupils of {group.name} work with one of the class's staff: {_names(staff)}"
        yield OnlyWith(
            _reason("GRP-1", text), _ids(pupils), tuple((p.id, 1) for p in staff), 1, Per.CREW
        )


def _rests(document: DayDocument, problem: RosterProblem) -> Iterator[Condition]:
    rules = document.rules
    heavy = tuple(task.id for task in problem.tasks if task.heavy)
    most = rules.heavy_rounds_in_a_row
    for stretch in _stretches(problem, most) if heavy else ():
        text = f"In {round_words(stretch)} a person does at most {most} rounds of heavy work."
        yield AtMost(_reason("HVY-1", text), most, None, heavy, Per.PERSON, stretch)
    limits: dict[int, list[Person]] = defaultdict(list)
    for person in problem.people:
        limits[rules.rounds_before_rest[band_of(person.age)]].append(person)
    for longest, people in sorted(limits.items()):
        for stretch in _stretches(problem, longest):
            text = f"In {round_words(stretch)} people of this age work at most {longest} rounds."
            yield AtMost(_reason("STR-1", text), longest, _ids(people), None, Per.PERSON, stretch)


def _stretches(problem: RosterProblem, most: int) -> list[tuple[int, ...]]:
    """Return every run of rounds that is one longer than allowed."""
    return [tuple(range(first, first + most + 1)) for first in range(problem.rounds - most)]


def _powered_minutes(document: DayDocument, problem: RosterProblem) -> Iterator[Condition]:
    """Return one limit for all who hold the same of the powered tasks' skills."""
    most = document.rules.powered_minutes_per_person
    alike: dict[tuple[tuple[TaskId, int], ...], list[Person]] = defaultdict(list)
    for person in problem.people:
        minutes = tuple(
            (task.id, task.powered_min_per_round)
            for task in problem.tasks
            if task.powered_min_per_round > 0
            and any(person.holds(need.skill, problem.on) for need in task.skills)
        )
        if minutes:
            alike[minutes].append(person)
    text = f"Nobody has more than {most} minutes with powered tools."
    for minutes, people in alike.items():
        yield MinutesAtMost(_reason("HAV-1", text), _ids(people), minutes, most)


def _first_aid(problem: RosterProblem) -> Iterator[Condition]:
    """Return, for each round, that one first aider who is there is free of hard work."""
    hard = tuple(t.id for t in problem.tasks if t.heavy or t.powered_min_per_round > 0)
    for round_ in range(problem.rounds):
        able = [
            person
            for person in problem.people
            if person.present[round_] and person.holds(problem.first_aid_skill, problem.on)
        ]
        text = (
            f"In round {round_ + 1} one person with “{problem.first_aid_skill}” in date is there "
            f"and on no heavy and no powered task: {_names(able)}"
        )
        reason = _reason("FA-1", text, f"Find one more first aider for round {round_ + 1}.")
        if not able:
            # Asked for whether or not anybody works, so nothing can meet it.
            yield AtLeast(reason, 1, (), None, Per.ROUND, (round_,), always=True)
        elif hard:
            yield AtMost(reason, len(able) - 1, _ids(able), hard, Per.ROUND, (round_,))


def _close_outs(problem: RosterProblem) -> Iterator[Condition]:
    titles = {task.id: task.title for task in problem.tasks}
    for task in problem.tasks:
        if task.closes is not None:
            text = f"“{task.title}” fills what “{titles[task.closes]}” opens, all of it by the end."
            yield CloseOut(_reason("CLO-1", text), opens=task.closes, closes=task.id)
