"""What is worth knowing of a document that is in order: sentences, not errors.

A day may hold people whom nobody may supervise, work that nobody may do, a
published roster that names somebody who left. All of that can be solved; the
answer is only poorer for it, and here is why.
"""

from collections.abc import Iterator

from scheduling.domain.documents.day_problem import DayDocument, PersonEntry, TaskEntry
from scheduling.domain.documents.season_problem import SeasonDocument
from scheduling.domain.people import ADULT_AGE, Restriction
from scheduling.domain.wording import list_words

MOST_NAMED = 6


def list_day_remarks(document: DayDocument) -> tuple[str, ...]:
    """Return a sentence for everything in a day's document that will come to nothing.

    Args:
        document: As `read_day_problem` returns it.
    """
    return (
        *_of_published(document),
        *_of_young(document),
        *_of_classes(document),
        *_of_tasks(document),
    )


def list_season_remarks(document: SeasonDocument) -> tuple[str, ...]:
    """Return a sentence for work that no kind of people may do and material nobody delivers."""
    found = []
    nobody = [
        item.id
        for item in document.items
        if any(
            not any(
                kind.band >= demand.least_band
                and (demand.skill is None or demand.skill in kind.skills)
                for kind in document.classes
            )
            for demand in item.demands
        )
    ]
    if nobody:
        found.append(f"No kind of people may do {_listed(nobody)}, by age band and skill.")
    delivered = {material.id for material in document.materials if material.deliveries}
    needed = {name for item in document.items for name, count in item.materials if count}
    if needed - delivered:
        found.append(f"No delivery is listed of {_listed(needed - delivered)}.")
    return tuple(found)


def _listed(names: list[str] | set[str]) -> str:
    return list_words(sorted(names), most=MOST_NAMED)


def _of_published(document: DayDocument) -> Iterator[str]:
    told = document.published or ()
    people = {person.id for person in document.people}
    left = {name for name, _ in told} - people
    if left:
        yield f"The published roster names {_listed(left)}, who are not among the people: left out."
    offered = {task.id for task in document.tasks}
    gone = {task for name, row in told if name in people for task in row if task} - offered
    if gone:
        yield (
            f"The published roster names {_listed(gone)}, not among the tasks: whoever had them "
            "is changed."
        )


def _of_young(document: DayDocument) -> Iterator[str]:
    rules = document.rules
    asked = max(1, rules.checked_adults_per_zone)
    for round_ in range(document.rounds):
        here = [person for person in document.people if person.present[round_]]
        checked = sum(person.checked and person.age >= ADULT_AGE for person in here)
        if checked < asked and any(person.age < ADULT_AGE for person in here):
            yield (
                f"Round {round_ + 1}: nobody may supervise the young people; checked adults there: "
                f"{checked}, asked for in a zone: {asked}."
            )


def _of_classes(document: DayDocument) -> Iterator[str]:
    least = document.rules.smallest_class_part
    for group in sorted({one.group for one in document.people if one.group is not None}):
        pupils = sum(one.group == group for one in document.people)
        if pupils < least:
            yield f"Class {group} has {pupils} pupils and works {least} together: it stays idle."
        if not any(one.staff_of == group for one in document.people):
            yield f"Nobody is staff of class {group}: it stays idle."


def _of_tasks(document: DayDocument) -> Iterator[str]:
    on_hand = dict(document.tools)
    for task in document.tasks:
        why = _why_nobody(document, task, on_hand)
        if why:
            yield f"Nobody may do “{task.id}”: {why}."


def _why_nobody(document: DayDocument, task: TaskEntry, on_hand: dict[str, int]) -> str:
    short = [tool for tool, count in task.tools if count > on_hand.get(tool, 0)]
    if short:
        return f"not enough of {_listed(short)} on hand"
    able = [person for person in document.people if _may_do(person, task)]
    least = max(1, task.crew_min)
    if len(able) < least:
        return f"{len(able)} people are of age and willing, a crew has at least {least}"
    for skill, count in (*task.skills, (document.rules.lead_skill, 1)):
        holders = sum(_holds(document, person, skill) for person in able)
        if holders < count:
            return f"{holders} of those who may hold “{skill}” in date, {count} asked for"
    return ""


def _may_do(person: PersonEntry, task: TaskEntry) -> bool:
    return (
        any(person.present)
        and person.age >= task.minimum_age
        and not (task.heavy and Restriction.NO_LIFTING in person.restrictions)
        and not (task.kneeling and Restriction.NO_KNEELING in person.restrictions)
    )


def _holds(document: DayDocument, person: PersonEntry, skill: str) -> bool:
    last = dict(person.skills).get(skill)
    return last is not None and document.on <= last
