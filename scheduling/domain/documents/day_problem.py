"""The format `day-problem/1`: one session whole, as a document that people can keep and send.

    {"format": "day-problem/1", "name": "…", "on": "2027-04-17", "rounds": 6, "round_minutes": 35,
     "tools": {"hand auger": 2},           on hand in every round; one not listed: none
     "people": [{"id": "p001", "age": 34,
       "checked": true,                    a supervising adult: 18 or over, background check in date
       "skills": {"lead": "2028-01-31"},   the last day on which it holds
       "restrictions": [],                 of "no lifting", "no kneeling", "no long kneeling"
       "guardian": null,                   or the id of who accompanies an under-12
       "group": null, "staff_of": null,    a school class, and whose staff somebody is
       "experience": 1,                    0 new, 1 came before, 2 old hand
       "preferences": {"weed": 2},         by kind of task, liked above 0
       "present": [true, …],               one for each round
       "wishes": ["auger"],                skills they would learn; may be left out
       "heavy_liking": 1,                  1 rather heavy work, -1 rather light; may be left out
       "companions": ["p002"],             with whom they would be in a crew; may be left out
       "past": {"sessions": 3, "rounds": 11, "idle": 4, "heavy": 6, "liked": 0, "disliked": 2,
         "learned": 0, "even_idle": 3, "even_heavy": 3, "even_disliked": 1, "even_liked": 2,
         "again": ["mulch"]}}],            the season so far, in rounds; may be left out
     "tasks": [{"id": "t01", "kind": "core", "zone": 0, "required": true, "units": 12,
       "points_per_unit": 2, "value_per_unit": 6, "crew": {"min": 2, "max": 4},
       "skills": {"auger": 1},             how many of a crew hold each
       "tools": {"hand auger": 1},         used by each crew at work
       "minimum_age": 16, "heavy": true, "kneeling": false, "powered_minutes_per_round": 0,
       "closes": null}],                   or the id of the task whose holes this one fills
     "rules": {"lead_skill": "lead", "first_aid_skill": "first aid",
       "supervision": {"denominator": 120, "weights": [20, 15, 12, 0]},       by age band
       "checked_adults_per_zone": 2, "smallest_class_part": 3, "powered_minutes_per_person": 45,
       "heavy_rounds_in_a_row": 2, "long_kneeling_rounds": 2,
       "rounds_before_rest": [3, 3, 3, 4], "points_per_round": [1, 2, 3, 3]}, by age band
     "weights": {"preference": 1, "unpaired_novice": 2, "most_heavy_rounds": 6},
     "published": null}                    or {"p001": ["t01", null, …]}: what people were told

What must hold in a roster, and what makes one better, is said in `judge_day`. Not here: what the
planner makes of it (`day_case`).
"""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.documents.place import Place, open_document, refuse_twice
from scheduling.domain.documents.rings import refuse_unknown_or_ring
from scheduling.domain.past_share import PastShare
from scheduling.domain.people import Restriction
from scheduling.domain.problem import Weights

FORMAT = "day-problem/1"
RESTRICTIONS = (
    Restriction.NO_LIFTING, Restriction.NO_KNEELING, Restriction.NO_LONG_KNEELING,
)  # fmt: skip

# Proposed limits, far above any day: they keep every sum within what a solver counts exactly.
MOST_ROUNDS = 100
MOST_MINUTES = 1440
MOST_AGE = 130
MOST_COUNT = 1_000_000
MOST_LIKING = 1_000
MOST_TOTAL = 10**15

ByBand = tuple[int, int, int, int]  # under 12, 12 to 15, 16 to 17, adult

DOCUMENT_KEYS = (
    "format", "name", "on", "rounds", "round_minutes", "tools", "people", "tasks", "rules",
    "weights", "published",
)  # fmt: skip
PERSON_KEYS = (
    "id", "age", "checked", "skills", "restrictions", "guardian", "group", "staff_of",
    "experience", "preferences", "present",
)  # fmt: skip
SPARE_PERSON_KEYS = ("wishes", "heavy_liking", "companions", "past")
PAST_COUNTS = (
    "sessions", "rounds", "idle", "heavy", "liked", "disliked", "learned", "even_idle",
    "even_heavy", "even_disliked", "even_liked",
)  # fmt: skip
TASK_KEYS = (
    "id", "kind", "zone", "required", "units", "points_per_unit", "value_per_unit", "crew",
    "skills", "tools", "minimum_age", "heavy", "kneeling", "powered_minutes_per_round", "closes",
)  # fmt: skip
RULE_KEYS = (
    "lead_skill", "first_aid_skill", "supervision", "checked_adults_per_zone",
    "smallest_class_part", "powered_minutes_per_person", "heavy_rounds_in_a_row",
    "long_kneeling_rounds", "rounds_before_rest", "points_per_round",
)  # fmt: skip
WEIGHT_KEYS = ("preference", "unpaired_novice", "most_heavy_rounds")


@dataclass(frozen=True, slots=True)
class PersonEntry:
    """One person, as the document has them."""

    id: str
    age: int
    checked: bool
    skills: tuple[tuple[str, date], ...]  # last day on which each holds
    restrictions: tuple[Restriction, ...]
    guardian: str | None
    group: str | None
    staff_of: str | None
    experience: int
    preferences: tuple[tuple[str, int], ...]
    present: tuple[bool, ...]
    wishes: tuple[str, ...] = ()
    heavy_liking: int = 0
    companions: tuple[str, ...] = ()
    past: PastShare | None = None


@dataclass(frozen=True, slots=True)
class TaskEntry:
    """One task, as the document has it."""

    id: str
    kind: str
    zone: int
    required: bool
    units: int
    points_per_unit: int
    value_per_unit: int
    crew_min: int
    crew_max: int
    skills: tuple[tuple[str, int], ...]
    tools: tuple[tuple[str, int], ...]
    minimum_age: int
    heavy: bool
    kneeling: bool
    powered_minutes_per_round: int
    closes: str | None


@dataclass(frozen=True, slots=True)
class DayRules:
    """The figures of a day's rules, as the document has them."""

    lead_skill: str
    first_aid_skill: str
    supervision_denominator: int
    supervision_weights: ByBand
    checked_adults_per_zone: int
    smallest_class_part: int
    powered_minutes_per_person: int
    heavy_rounds_in_a_row: int
    long_kneeling_rounds: int
    rounds_before_rest: ByBand
    points_per_round: ByBand


Published = tuple[tuple[str, tuple[str | None, ...]], ...]  # person, task by round


@dataclass(frozen=True, slots=True)
class DayDocument:
    """A `day-problem/1`, key by key."""

    name: str
    on: date
    rounds: int
    round_minutes: int
    tools: tuple[tuple[str, int], ...]
    people: tuple[PersonEntry, ...]
    tasks: tuple[TaskEntry, ...]
    rules: DayRules
    weights: Weights
    published: Published | None


def read_day_problem(text: str) -> DayDocument:
    """Return the document that a text holds.

    Args:
        text: JSON of the format `day-problem/1`.

    Raises:
        DocumentFault: At the first thing that is wrong, with its path and line.
    """
    whole = open_document(text, FORMAT)
    fields = whole.fields(DOCUMENT_KEYS)
    rounds = fields["rounds"].whole(1, MOST_ROUNDS)
    document = DayDocument(
        name=fields["name"].word(),
        on=fields["on"].day(),
        rounds=rounds,
        round_minutes=fields["round_minutes"].whole(1, MOST_MINUTES),
        tools=fields["tools"].counts(0, MOST_COUNT),
        people=_read_people(fields["people"], rounds),
        tasks=_read_tasks(fields["tasks"]),
        rules=_read_rules(fields["rules"]),
        weights=_read_weights(fields["weights"]),
        published=_read_published(fields["published"], rounds),
    )
    _check_totals(document, fields["tasks"])
    return document


def _read_people(place: Place, rounds: int) -> tuple[PersonEntry, ...]:
    rows = [entry.fields(PERSON_KEYS, spare=SPARE_PERSON_KEYS) for entry in place.entries()]
    people = tuple(_read_person(row, rounds) for row in rows)
    refuse_twice(((person.id, row["id"]) for person, row in zip(people, rows, strict=True)), "id")
    known = {person.id for person in people}
    for person, row in zip(people, rows, strict=True):
        if person.guardian == person.id:
            row["guardian"].refuse(f"“{person.id}” is their own guardian; name another or null.")
        if person.guardian is not None and person.guardian not in known:
            row["guardian"].refuse(
                f"“{person.guardian}” is not among the people; add them or write null."
            )
        for one in person.companions:
            if one not in known or one == person.id:
                row["companions"].refuse(f"“{one}” is no other person here; leave them out.")
    return people


def _read_person(row: dict[str, Place], rounds: int) -> PersonEntry:
    present = row["present"].entries()
    if len(present) != rounds:
        row["present"].refuse(
            f"{len(present)} rounds are listed and the day has {rounds}; write true or false for "
            "each."
        )
    return PersonEntry(
        id=row["id"].word(),
        age=row["age"].whole(0, MOST_AGE),
        checked=row["checked"].flag(),
        skills=tuple(sorted((skill, last.day()) for skill, last in row["skills"].pairs())),
        restrictions=_read_restrictions(row["restrictions"]),
        guardian=row["guardian"].word_or_null(),
        group=row["group"].word_or_null(),
        staff_of=row["staff_of"].word_or_null(),
        experience=row["experience"].whole(0, 2),
        preferences=row["preferences"].counts(-MOST_LIKING, MOST_LIKING),
        present=tuple(one.flag() for one in present),
        wishes=_read_words(row["wishes"], "skill") if "wishes" in row else (),
        heavy_liking=row["heavy_liking"].whole(-1, 1) if "heavy_liking" in row else 0,
        companions=_read_words(row["companions"], "person") if "companions" in row else (),
        past=_read_past(row["past"]) if "past" in row else None,
    )


def _read_words(place: Place, what: str) -> tuple[str, ...]:
    """Return different words, sorted."""
    found = [(entry.word(), entry) for entry in place.entries()]
    refuse_twice(found, what)
    return tuple(sorted(word for word, _ in found))


def _read_past(place: Place) -> PastShare:
    fields = place.fields((*PAST_COUNTS, "again"))
    counts = {key: fields[key].whole(0, MOST_COUNT) for key in PAST_COUNTS}
    return PastShare(**counts, again=_read_words(fields["again"], "kind"))


def _read_restrictions(place: Place) -> tuple[Restriction, ...]:
    found = []
    for one in place.entries():
        if one.value not in RESTRICTIONS:
            known = ", ".join(f"“{restriction}”" for restriction in RESTRICTIONS)
            said = one.word()
            one.refuse(f"“{said}” is no restriction of this format; there are {known}.")
        found.append((str(one.value), one))
    refuse_twice(found, "restriction")
    return tuple(sorted(Restriction(name) for name, _ in found))


def _read_tasks(place: Place) -> tuple[TaskEntry, ...]:
    rows = [entry.fields(TASK_KEYS) for entry in place.entries()]
    tasks = tuple(_read_task(row) for row in rows)
    refuse_twice(((task.id, row["id"]) for task, row in zip(tasks, rows, strict=True)), "id")
    closes = {task.id: task.closes for task in tasks}
    for task, row in zip(tasks, rows, strict=True):
        if task.closes is not None:
            refuse_unknown_or_ring(row["closes"], task.id, closes, "task")
    return tasks


def _read_task(row: dict[str, Place]) -> TaskEntry:
    crew = row["crew"].fields(("min", "max"))
    least, most = crew["min"].whole(0, MOST_COUNT), crew["max"].whole(0, MOST_COUNT)
    if most < least:
        crew["max"].refuse(f"a crew has at most {most} people and at least {least}; correct one.")
    return TaskEntry(
        id=row["id"].word(),
        kind=row["kind"].word(),
        zone=row["zone"].whole(0, MOST_COUNT),
        required=row["required"].flag(),
        units=row["units"].whole(0, MOST_COUNT),
        points_per_unit=row["points_per_unit"].whole(0, MOST_COUNT),
        value_per_unit=row["value_per_unit"].whole(0),
        crew_min=least,
        crew_max=most,
        skills=row["skills"].counts(0, MOST_COUNT),
        tools=row["tools"].counts(0, MOST_COUNT),
        minimum_age=row["minimum_age"].whole(0, MOST_AGE),
        heavy=row["heavy"].flag(),
        kneeling=row["kneeling"].flag(),
        powered_minutes_per_round=row["powered_minutes_per_round"].whole(0, MOST_MINUTES),
        closes=row["closes"].word_or_null(),
    )


def _read_rules(place: Place) -> DayRules:
    fields = place.fields(RULE_KEYS)
    supervision = fields["supervision"].fields(("denominator", "weights"))
    return DayRules(
        lead_skill=fields["lead_skill"].word(),
        first_aid_skill=fields["first_aid_skill"].word(),
        supervision_denominator=supervision["denominator"].whole(1, MOST_COUNT),
        supervision_weights=_read_bands(supervision["weights"], MOST_COUNT),
        checked_adults_per_zone=fields["checked_adults_per_zone"].whole(0, MOST_COUNT),
        smallest_class_part=fields["smallest_class_part"].whole(0, MOST_COUNT),
        powered_minutes_per_person=fields["powered_minutes_per_person"].whole(0, MOST_COUNT),
        heavy_rounds_in_a_row=fields["heavy_rounds_in_a_row"].whole(0, MOST_COUNT),
        long_kneeling_rounds=fields["long_kneeling_rounds"].whole(0, MOST_COUNT),
        rounds_before_rest=_read_bands(fields["rounds_before_rest"], MOST_COUNT),
        points_per_round=_read_bands(fields["points_per_round"], MOST_COUNT),
    )


def _read_bands(place: Place, most: int) -> ByBand:
    entries = place.entries()
    if len(entries) != 4:
        place.refuse(
            f"{len(entries)} numbers are listed and 4 are asked for: under 12, 12 to 15, "
            "16 to 17, adult."
        )
    under_12, from_12, from_16, grown = (entry.whole(0, most) for entry in entries)
    return under_12, from_12, from_16, grown


def _read_weights(place: Place) -> Weights:
    fields = place.fields(WEIGHT_KEYS)
    return Weights(**{key: fields[key].whole(0, MOST_COUNT) for key in WEIGHT_KEYS})


def _read_published(place: Place, rounds: int) -> Published | None:
    """Return what people were told; people and tasks that are gone may still be named."""
    if place.value is None:
        return None
    found = []
    for person, row in place.pairs():
        entries = row.entries()
        if len(entries) != rounds:
            row.refuse(
                f"{len(entries)} rounds are listed and the day has {rounds}; write a task or null "
                "for each."
            )
        found.append((person, tuple(entry.word_or_null() for entry in entries)))
    return tuple(sorted(found, key=lambda line: line[0]))


def _check_totals(document: DayDocument, tasks: Place) -> None:
    worth = sum(task.units * task.value_per_unit for task in document.tasks)
    effort = sum(task.units * task.points_per_unit for task in document.tasks)
    for total, what in ((worth, "value"), (effort, "points")):
        if total > MOST_TOTAL:
            tasks.refuse(
                f"all units together have {total:,} {what}, more than {MOST_TOTAL:,} cannot be "
                "counted exactly; use smaller figures."
            )
