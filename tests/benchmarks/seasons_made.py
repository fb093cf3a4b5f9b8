"""Unseen season problems of the shape of the examples, made from a size and a seed.

Run by hand: `python -m tests.benchmarks.seasons_made S 7 season.json`. The proportions
(people by class, tools by heads, what follows what at a place, windows, deliveries) are
counted from the example documents; all work together takes about the minutes there are.
Not for real seasons, and not for tiny ones that can be enumerated: those are in
`tests.benchmarks.tiny`.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Any

from tests.benchmarks.days_made import Document, write_document

FIRST_DAY = date(2027, 4, 17)


@dataclass(frozen=True, slots=True)
class SeasonSize:
    """How large a made season is; `class_visit` is a chance and the pupils it brings."""

    sessions: int
    items: int
    people: tuple[float, float]  # mean and spread
    class_visit: tuple[float, int]
    days_apart: tuple[int, int]
    worth_later: float
    deliveries: int


SIZES = {
    "S": SeasonSize(12, 80, (15.0, 4.0), (0.1, 6), (7, 7), 0.98, 3),
    "M": SeasonSize(24, 300, (21.0, 4.0), (0.25, 13), (7, 7), 0.98, 4),
    "L": SeasonSize(60, 2000, (71.0, 7.0), (0.17, 42), (3, 4), 0.99, 10),
}
CLASSES: tuple[tuple[int, tuple[str, ...], float], ...] = (  # band, skills, share of people
    (3, (), 0.585),
    (3, ("auger",), 0.10),
    (3, ("tester",), 0.05),
    (3, ("auger", "tester"), 0.035),
    (2, (), 0.075),
    (2, ("tester",), 0.025),
    (1, (), 0.065),
    (0, (), 0.065),
)
SETS = (
    (1, 3),
    (2, 3, 5),
    (0, 1, 2, 3),
    (1, 2, 3, 5),
    (0, 1, 2, 3, 5),
    (0, 1, 2, 3, 4, 5),
    (0, 1, 2, 3, 4, 5, 6),
    (0, 1, 2, 3, 4, 5, 6, 7),
)
ANY = None
# kind: fewest and most units before scaling, demands (skill, band, minutes), crew, tools, materials
KINDS: dict[str, tuple[Any, ...]] = {
    "weed": (8, 26, ((ANY, 0, 12),), (1, 4), {"hoe": 2}, {}),
    "core": (6, 18, (("auger", 3, 6), (ANY, 2, 6)), (2, 3), {"auger": 1}, {}),
    "backfill": (0, 0, ((ANY, 0, 8),), (2, 5), {"shovel": 3, "barrow": 1}, {"compost": 2}),
    "topdress": (6, 20, ((ANY, 1, 10),), (2, 5), {"shovel": 2, "barrow": 1}, {"compost": 3}),
    "mulch": (10, 34, ((ANY, 0, 9),), (2, 6), {"fork": 2, "barrow": 2}, {"mulch": 1}),
    "measure": (2, 6, (("tester", 2, 10), (ANY, 0, 5)), (2, 3), {"meter": 1}, {}),
    "water": (6, 18, ((ANY, 0, 7),), (1, 3), {"hose": 1}, {}),
}
POCKET = ("weed", "core", "backfill", "topdress", "mulch")
TREE = ("weed", "topdress", "mulch")
LATE_PER_URGENCY, SPLIT = 5000, 40000


def build_season(size: str, seed: int) -> Document:
    """Return a season problem of a size (S, M, L); the same seed gives the same document."""
    shape = SIZES[size]
    random = Random(f"season {size} {seed}")
    sessions = _build_sessions(random, shape)
    items = _build_items(random, shape)
    _scale_to_fill(items, sum(session["capacity"][-1][1] for session in sessions))
    return {
        "format": "season-problem/1",
        "name": f"made-season-{size}-{seed}",
        "classes": [
            {"id": number, "band": band, "skills": list(skills)}
            for number, (band, skills, _) in enumerate(CLASSES)
        ],
        "sessions": sessions,
        "items": items,
        "materials": _build_materials(shape, items),
        "discount": [round(1000 * shape.worth_later**n) for n in range(shape.sessions)],
    }


def _build_sessions(random: Random, shape: SeasonSize) -> list[Document]:
    sessions, on = [], FIRST_DAY
    chance, pupils = shape.class_visit
    for number in range(shape.sessions):
        people = max(8, round(random.gauss(*shape.people)))
        people += pupils if random.random() < chance else 0
        usable_min = random.choice((125, 125, 155, 185))
        came = random.choices(range(len(CLASSES)), [share for *_, share in CLASSES], k=people)
        sessions.append(
            {
                "id": f"D{number:02}",
                "on": on.isoformat(),
                "usable_minutes": usable_min,
                "people_expected": people,
                "capacity": [
                    [list(chosen), usable_min * sum(one in chosen for one in came)]
                    for chosen in SETS
                ],
                "tools": {
                    "hoe": people // 2,
                    "auger": max(1, round(people / 14)),
                    "shovel": max(4, people // 3),
                    "barrow": max(3, people // 4),
                    "fork": max(3, people // 4),
                    "hose": max(2, people // 10),
                    "meter": max(1, people // 20),
                },
                "most_crews": round(people / 3.6),
            }
        )
        on += timedelta(days=random.randint(*shape.days_apart))
    return sessions


def _build_items(random: Random, shape: SeasonSize) -> list[Document]:
    items: list[Document] = []
    place = 0
    while len(items) < shape.items:
        place += 1
        items += _work_at_place(random, shape, place, len(items))
    del items[shape.items :]
    return items


def _work_at_place(random: Random, shape: SeasonSize, place: int, begin: int) -> list[Document]:
    """Return the work of one pocket or tree, in its order."""
    is_pocket = random.random() < 0.5
    kinds = list(POCKET if is_pocket else TREE)
    if is_pocket and random.random() < 0.45:
        kinds.append("measure")
    if not is_pocket and random.random() < 0.6:
        kinds.append("water")
    last = shape.sessions - 1
    first = random.randint(0, shape.sessions // 3) if random.random() < 0.2 else 0
    until = last if random.random() < 0.55 else random.randint(first + shape.sessions // 2, last)
    urgency = random.choices((1, 2, 3, 4, 5), (12, 19, 34, 23, 12))[0]
    found: dict[str, Document] = {}
    for number, kind in enumerate(kinds, start=begin):
        item = _item(random, kind, number, urgency + (kind == "measure"))
        item |= {"place": f"{'P' if is_pocket else 'T'}{place}", "window": [first, until]}
        found[kind] = item
    _put_in_order(random, found)
    if "water" in found:
        length = random.randint(2, 5)
        begins = random.randint(0, shape.sessions - 1 - length)
        found["water"]["window"] = [begins, begins + length]
    if random.random() < 0.42:
        begins, ends = found["mulch"]["window"]
        found["mulch"]["finish_by"] = begins + round(random.uniform(0.3, 1.0) * (ends - begins))
    return list(found.values())


def _put_in_order(random: Random, found: dict[str, Document]) -> None:
    def follows(kind: str, before: str, same: bool) -> None:
        if kind in found:
            found[kind]["after"] = [[found[before]["id"], same]]

    follows("core", "weed", random.random() < 0.84)
    follows("topdress", "backfill" if "backfill" in found else "weed", same=True)
    follows("mulch", "topdress", random.random() < 0.91)
    follows("measure", "topdress", same=False)
    if "backfill" in found:
        found["backfill"] |= {"closes": found["core"]["id"], "units": found["core"]["units"]}


def _item(random: Random, kind: str, number: int, urgency: int) -> Document:
    fewest, most, demands, crew, tools, materials = KINDS[kind]
    return {
        "id": f"w{number:04}",
        "place": "",
        "kind": kind,
        "units": random.randint(fewest, most),
        "demands": [
            {"skill": skill, "least_band": band, "minutes_per_unit": minutes}
            for skill, band, minutes in demands
        ],
        "crew": {"min": crew[0], "max": crew[1]},
        "tools": dict(tools),
        "materials": dict(materials),
        "window": [0, 0],
        "after": [],
        "closes": None,
        "value_per_unit": urgency * sum(minutes for *_, minutes in demands),
        "finish_by": None,
        "late_penalty": LATE_PER_URGENCY * urgency,
        "split_penalty": SPLIT,
    }


def _scale_to_fill(items: list[Document], person_min: int) -> None:
    """Make all work together take about the minutes there are; opened stays closed."""
    needed = sum(i["units"] * sum(d["minutes_per_unit"] for d in i["demands"]) for i in items)
    for item in items:
        item["units"] = max(1, round(item["units"] * person_min / needed))


def _build_materials(shape: SeasonSize, items: list[Document]) -> list[Document]:
    found = []
    for name in ("compost", "mulch"):
        needed = sum(i["units"] * i["materials"].get(name, 0) for i in items)
        each = round(1.05 * needed / shape.deliveries)
        days = (
            round(n * 0.85 * shape.sessions / shape.deliveries) for n in range(shape.deliveries)
        )
        found.append({"id": name, "deliveries": [[day, each] for day in days]})
    return found


if __name__ == "__main__":
    write_document(build_season, tuple(SIZES), None)
