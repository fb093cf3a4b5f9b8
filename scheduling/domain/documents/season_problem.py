"""The format `season-problem/1`: which work in which session, as a document.

    {"format": "season-problem/1", "name": "…",
     "classes": [{"id": 0, "band": 3, "skills": ["auger"]}],    kinds of people
     "sessions": [{"id": "D00", "on": "2027-04-03", "usable_minutes": 165, "people_expected": 14,
       "capacity": [[[0, 1], 1980], …],    person-minutes that these classes together can give,
                                           already the cautious quantile
       "tools": {"barrow": 4},             one not listed: none
       "most_crews": 4}],
     "items": [{"id": "w0001", "place": "P1", "kind": "core", "units": 12,
       "demands": [{"skill": null, "least_band": 3, "minutes_per_unit": 6}],
       "crew": {"min": 2, "max": 3},
       "tools": {"auger": 1}, "materials": {"compost": 2},       materials for each unit
       "window": [0, 11],                  first and last session, counted from 0
       "after": [["w0000", true]],         true: may follow in the session that finishes the other
       "closes": null,                     or the id of the item whose holes this one fills
       "value_per_unit": 60, "finish_by": null, "late_penalty": 15000, "split_penalty": 40000}],
     "materials": [{"id": "compost", "deliveries": [[0, 120]]}], session counted from 0, quantity
     "discount": [1000, 980]}              for each session: early work is worth more

What must hold in a plan, and what makes one better, is said in `judge_season`. Not here: what the
planner makes of it (`season_case`).
"""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.documents.place import Place, open_document, refuse_twice
from scheduling.domain.documents.rings import refuse_order_ring, refuse_unknown_or_ring

FORMAT = "season-problem/1"

# Proposed limits, far above any season: they keep every sum within what a solver counts exactly.
MOST_COUNT = 1_000_000
MOST_PENALTY = 1_000_000_000_000
MOST_TOTAL = 10**15

DOCUMENT_KEYS = ("format", "name", "classes", "sessions", "items", "materials", "discount")
SESSION_KEYS = (
    "id", "on", "usable_minutes", "people_expected", "capacity", "tools", "most_crews",
)  # fmt: skip
ITEM_KEYS = (
    "id", "place", "kind", "units", "demands", "crew", "tools", "materials", "window", "after",
    "closes", "value_per_unit", "finish_by", "late_penalty", "split_penalty",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ClassEntry:
    """A kind of people: age band and skills."""

    id: int
    band: int
    skills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SessionEntry:
    """One session, as the document has it."""

    id: str
    on: date
    usable_minutes: int
    people_expected: int
    capacity: tuple[tuple[tuple[int, ...], int], ...]
    tools: tuple[tuple[str, int], ...]
    most_crews: int


@dataclass(frozen=True, slots=True)
class DemandEntry:
    """Minutes of each unit that ask for a skill (or none) and a least band."""

    skill: str | None
    least_band: int
    minutes_per_unit: int


@dataclass(frozen=True, slots=True)
class ItemEntry:
    """One item of work, as the document has it; sessions are counted from 0."""

    id: str
    place: str
    kind: str
    units: int
    demands: tuple[DemandEntry, ...]
    crew_min: int
    crew_max: int
    tools: tuple[tuple[str, int], ...]
    materials: tuple[tuple[str, int], ...]
    window: tuple[int, int]
    after: tuple[tuple[str, bool], ...]
    closes: str | None
    value_per_unit: int
    finish_by: int | None
    late_penalty: int
    split_penalty: int


@dataclass(frozen=True, slots=True)
class MaterialEntry:
    """Deliveries of a material: session from which it is there, quantity."""

    id: str
    deliveries: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class SeasonDocument:
    """A `season-problem/1`, key by key."""

    name: str
    classes: tuple[ClassEntry, ...]
    sessions: tuple[SessionEntry, ...]
    items: tuple[ItemEntry, ...]
    materials: tuple[MaterialEntry, ...]
    discount: tuple[int, ...]


def read_season_problem(text: str) -> SeasonDocument:
    """Return the document that a text holds.

    Args:
        text: JSON of the format `season-problem/1`.

    Raises:
        DocumentFault: At the first thing that is wrong, with its path and line.
    """
    fields = open_document(text, FORMAT).fields(DOCUMENT_KEYS)
    classes = _read_classes(fields["classes"])
    sessions = _read_sessions(fields["sessions"], {one.id for one in classes})
    document = SeasonDocument(
        name=fields["name"].word(),
        classes=classes,
        sessions=sessions,
        items=_read_items(fields["items"], len(sessions)),
        materials=_read_materials(fields["materials"], len(sessions)),
        discount=_read_discount(fields["discount"], len(sessions)),
    )
    _check_totals(document, fields["items"])
    return document


def _read_classes(place: Place) -> tuple[ClassEntry, ...]:
    rows = [entry.fields(("id", "band", "skills")) for entry in place.entries()]
    found = []
    for row in rows:
        skills = [(skill.word(), skill) for skill in row["skills"].entries()]
        refuse_twice(skills, "skill")
        names = tuple(sorted(name for name, _ in skills))
        found.append(ClassEntry(row["id"].whole(0, MOST_COUNT), row["band"].whole(0, 3), names))
    refuse_twice(((one.id, row["id"]) for one, row in zip(found, rows, strict=True)), "id")
    return tuple(found)


def _read_sessions(place: Place, classes: set[int]) -> tuple[SessionEntry, ...]:
    entries = place.entries()
    if not entries:
        place.refuse("a season has at least one session; add one.")
    rows = [entry.fields(SESSION_KEYS) for entry in entries]
    found = tuple(
        SessionEntry(
            id=row["id"].word(),
            on=row["on"].day(),
            usable_minutes=row["usable_minutes"].whole(0, MOST_COUNT),
            people_expected=row["people_expected"].whole(0, MOST_COUNT),
            capacity=tuple(_read_capacity(one, classes) for one in row["capacity"].entries()),
            tools=row["tools"].counts(0, MOST_COUNT),
            most_crews=row["most_crews"].whole(0, MOST_COUNT),
        )
        for row in rows
    )
    refuse_twice(((one.id, row["id"]) for one, row in zip(found, rows, strict=True)), "id")
    return found


def _read_pair(place: Place, what: str) -> tuple[Place, Place]:
    entries = place.entries()
    if len(entries) != 2:
        place.refuse(f"{len(entries)} values are listed and two are asked for: {what}.")
    return entries[0], entries[1]


def _read_capacity(place: Place, classes: set[int]) -> tuple[tuple[int, ...], int]:
    among, minutes = _read_pair(place, "a list of classes, and minutes")
    entries = [(one.whole(0, MOST_COUNT), one) for one in among.entries()]
    refuse_twice(entries, "class")
    for number, one in entries:
        if number not in classes:
            one.refuse(f"class {number} is not among the classes; add it or leave it out.")
    return tuple(sorted(number for number, _ in entries)), minutes.whole()


def _read_items(place: Place, sessions: int) -> tuple[ItemEntry, ...]:
    rows = [entry.fields(ITEM_KEYS) for entry in place.entries()]
    items = tuple(_read_item(row, sessions) for row in rows)
    refuse_twice(((item.id, row["id"]) for item, row in zip(items, rows, strict=True)), "id")
    closes = {item.id: item.closes for item in items}
    units = {item.id: item.units for item in items}
    for item, row in zip(items, rows, strict=True):
        if item.closes is not None:
            refuse_unknown_or_ring(row["closes"], item.id, closes, "item")
            if units[item.closes] != item.units:
                row["units"].refuse(
                    f"“{item.id}” closes {item.units} holes and “{item.closes}” opens "
                    f"{units[item.closes]}; give both the same number."
                )
    waits = {item.id: tuple(before for before, _ in item.after) for item in items}
    refuse_order_ring({item.id: row["after"] for item, row in zip(items, rows, strict=True)}, waits)
    return items


def _read_item(row: dict[str, Place], sessions: int) -> ItemEntry:
    crew = row["crew"].fields(("min", "max"))
    least, most = crew["min"].whole(0, MOST_COUNT), crew["max"].whole(1, MOST_COUNT)
    if most < least:
        crew["max"].refuse(f"a crew has at most {most} people and at least {least}; correct one.")
    first, last = _read_pair(row["window"], "the first and the last session")
    window = first.whole(0, sessions - 1), last.whole(0, sessions - 1)
    if window[1] < window[0]:
        row["window"].refuse(
            f"the window ends in session {window[1]}, before it begins; correct it."
        )
    return ItemEntry(
        id=row["id"].word(),
        place=row["place"].word(),
        kind=row["kind"].word(),
        units=row["units"].whole(0, MOST_COUNT),
        demands=tuple(_read_demand(one) for one in row["demands"].entries()),
        crew_min=least,
        crew_max=most,
        tools=row["tools"].counts(0, MOST_COUNT),
        materials=row["materials"].counts(0, MOST_COUNT),
        window=window,
        after=tuple(_read_after(one) for one in row["after"].entries()),
        closes=row["closes"].word_or_null(),
        value_per_unit=row["value_per_unit"].whole(),
        finish_by=row["finish_by"].whole_or_null(0, sessions - 1),
        late_penalty=row["late_penalty"].whole(0, MOST_PENALTY),
        split_penalty=row["split_penalty"].whole(0, MOST_PENALTY),
    )


def _read_demand(place: Place) -> DemandEntry:
    row = place.fields(("skill", "least_band", "minutes_per_unit"))
    return DemandEntry(
        row["skill"].word_or_null(),
        row["least_band"].whole(0, 3),
        row["minutes_per_unit"].whole(0, MOST_COUNT),
    )


def _read_after(place: Place) -> tuple[str, bool]:
    before, same = _read_pair(place, "an item, and whether the same session will do")
    return before.word(), same.flag()


def _read_materials(place: Place, sessions: int) -> tuple[MaterialEntry, ...]:
    rows = [entry.fields(("id", "deliveries")) for entry in place.entries()]
    found = []
    for row in rows:
        deliveries = []
        for one in row["deliveries"].entries():
            session, quantity = _read_pair(one, "a session, and a quantity")
            deliveries.append((session.whole(0, sessions - 1), quantity.whole()))
        found.append(MaterialEntry(row["id"].word(), tuple(deliveries)))
    refuse_twice(((one.id, row["id"]) for one, row in zip(found, rows, strict=True)), "id")
    return tuple(found)


def _read_discount(place: Place, sessions: int) -> tuple[int, ...]:
    entries = place.entries()
    if len(entries) != sessions:
        place.refuse(
            f"{len(entries)} numbers are listed and the season has {sessions} sessions; write one "
            "for each."
        )
    return tuple(entry.whole(0, MOST_COUNT) for entry in entries)


def _check_totals(document: SeasonDocument, items: Place) -> None:
    sessions = len(document.sessions)
    most = max(document.discount)
    worth = sum(
        item.units * item.value_per_unit * most
        + (item.split_penalty + (0 if item.finish_by is None else item.late_penalty)) * sessions
        for item in document.items
    )
    if worth > MOST_TOTAL:
        items.refuse(
            f"values and penalties together come to {worth:,}, more than {MOST_TOTAL:,} cannot be "
            "counted exactly; use smaller figures."
        )
