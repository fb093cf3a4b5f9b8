"""Unseen day problems of the shape of the examples, made from a size and a seed.

Run by hand: `python -m tests.benchmarks.days_made M 7 day.json`. The proportions (ages,
skills, tools by heads, kinds of work by zone, closing pairs) are counted from the example
documents. Not for real days, and not for tiny ones that can be enumerated: those are in
`tests.benchmarks.tiny`.
"""

import argparse
import json
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

Document = dict[str, Any]
ON = date(2027, 4, 17)
SURE_DAYS = 100  # how long those skills hold that every day has at least one of


@dataclass(frozen=True, slots=True)
class DaySize:
    """How large a made day is; `lead_share` is of the adults, `classes` pairs pupils, staff."""

    people: int
    rounds: int
    tasks: int
    zones: int
    classes: tuple[tuple[int, int], ...]
    wards: int
    lead_share: float
    units: tuple[int, int]


SIZES = {
    "S": DaySize(16, 4, 8, 2, (), 1, 0.17, (5, 12)),
    "M": DaySize(40, 6, 16, 4, ((7, 2),), 2, 0.32, (8, 20)),
    "L": DaySize(120, 6, 40, 10, ((11, 3),) * 2, 8, 0.44, (10, 24)),
    "XL": DaySize(300, 8, 80, 20, ((14, 4),) * 4, 20, 0.44, (10, 28)),
}
# kind: how often, points per unit, crew, skill, tools, least age, heavy, kneeling, powered minutes
KINDS: dict[str, tuple[Any, ...]] = {
    "weed": (12, 2, (2, 5), None, {"hoe": 2}, 0, False, True, 0),
    "mulch": (14, 3, (2, 6), None, {"fork": 2, "barrow": 2}, 12, True, False, 0),
    "core": (22, 2, (2, 4), "auger", {"auger": 1}, 16, True, False, 15),
    "topdress": (3, 3, (2, 5), None, {"shovel": 2, "barrow": 1}, 12, True, False, 0),
    "brush": (6, 3, (2, 3), "brush", {"brushcutter": 1}, 18, True, False, 20),
    "water": (5, 3, (2, 4), None, {"hose": 1}, 0, False, False, 0),
    "measure": (4, 5, (2, 3), "tester", {"meter": 1}, 12, False, True, 0),
    "backfill": (0, 2, (2, 5), None, {"shovel": 2, "barrow": 1}, 0, False, True, 0),
}
SKILL_SHARES = {"first aid": 0.2, "auger": 0.15, "brush": 0.13, "tester": 0.11}
SURE = {"lead": 2, "first aid": 2, "auger": 1, "brush": 1, "tester": 1}
TOOLS = {  # tool: heads for one, fewest
    "hoe": (3, 1),
    "auger": (30, 1),
    "shovel": (5, 4),
    "barrow": (7, 3),
    "fork": (8, 2),
    "hose": (30, 1),
    "meter": (40, 1),
    "brushcutter": (40, 1),
}
RULES = {
    "lead_skill": "lead",
    "first_aid_skill": "first aid",
    "supervision": {"denominator": 120, "weights": [20, 15, 12, 0]},
    "checked_adults_per_zone": 2,
    "smallest_class_part": 3,
    "powered_minutes_per_person": 45,
    "heavy_rounds_in_a_row": 2,
    "long_kneeling_rounds": 2,
    "rounds_before_rest": [3, 3, 3, 4],
    "points_per_round": [1, 2, 3, 3],
}


def build_day(size: str, seed: int) -> Document:
    """Return a day problem of a size (S, M, L, XL); the same seed gives the same document."""
    shape = SIZES[size]
    random = Random(f"day {size} {seed}")
    return {
        "format": "day-problem/1",
        "name": f"made-day-{size}-{seed}",
        "on": ON.isoformat(),
        "rounds": shape.rounds,
        "round_minutes": 35,
        "tools": {
            tool: max(least, shape.people // heads) for tool, (heads, least) in TOOLS.items()
        },
        "people": _build_people(random, shape),
        "tasks": _build_tasks(random, shape),
        "rules": RULES,
        "weights": {"preference": 1, "unpaired_novice": 2, "most_heavy_rounds": 6},
        "published": None,
    }


def take_away(problem: Document, assignments: Document, share: float, seed: int) -> Document:
    """Return the day as it turns out: a share of the people did not come, the rest were told.

    Args:
        problem: A day problem.
        assignments: The roster people were told, as in a day roster.
        share: Part of the people who do not come, in no round.
        seed: Which of them.
    """
    random = Random(f"no-shows {problem['name']} {seed}")
    gone = set(
        random.sample([p["id"] for p in problem["people"]], round(share * len(problem["people"])))
    )
    nowhere = [False] * problem["rounds"]
    people = [{**p, "present": nowhere} if p["id"] in gone else dict(p) for p in problem["people"]]
    return {**problem, "people": people, "published": dict(sorted(assignments.items()))}


def _build_people(random: Random, shape: DaySize) -> list[Document]:
    people: list[Document] = []
    for number, (pupils, staff) in enumerate(shape.classes):
        group = f"G{number}"
        youngest = random.choice((9, 10))
        for _ in range(staff):
            adult = _person(random, shape, random.randint(28, 58), checked=True)
            people.append(adult | {"staff_of": group, "present": [True] * shape.rounds})
        for _ in range(pupils):
            pupil = _person(random, shape, youngest + random.choice((0, 1, 1, 2, 2, 3, 4)))
            pupil |= {"group": group, "experience": 0, "present": [True] * shape.rounds}
            people.append(pupil)
    wards: dict[int, int] = {}
    for _ in range(shape.wards):
        guardian = _person(random, shape, random.randint(28, 55), checked=random.random() < 0.5)
        child = _person(random, shape, random.randint(6, 11))
        wards[len(people) + 1] = len(people)
        people += [guardian, child | {"present": guardian["present"]}]
    while len(people) < shape.people:
        is_adult = random.random() < 0.7
        age = random.randint(18, 74) if is_adult else random.randint(12, 17)
        people.append(_person(random, shape, age))
    for ward, guardian in wards.items():
        people[ward]["guardian"] = f"p{guardian:03}"
    _make_sure_of_skills(random, people)
    return [{"id": f"p{number:03}", **person} for number, person in enumerate(people)]


def _person(random: Random, shape: DaySize, age: int, *, checked: bool | None = None) -> Document:
    is_adult = age >= 18
    shares = {"lead": shape.lead_share, **SKILL_SHARES} if is_adult else {}
    if age in (16, 17):
        shares = {"tester": 0.1}
    kinds = random.sample(sorted(KINDS), 3)
    away = random.choices(("", "first", "last"), (87, 7, 6))[0]
    present = [True] * shape.rounds
    if away:
        present[0 if away == "first" else -1] = False
    return {
        "age": age,
        "checked": is_adult and random.random() < 0.7 if checked is None else checked,
        "skills": {
            skill: (ON + timedelta(days=random.randint(-60, 400))).isoformat()
            for skill, part in shares.items()
            if random.random() < part
        },
        "restrictions": random.choices(
            ([], ["no lifting"], ["no long kneeling"], ["no kneeling"]), (75, 10, 10, 5)
        )[0],
        "guardian": None,
        "group": None,
        "staff_of": None,
        "experience": random.choices((0, 1, 2), (35, 38, 27))[0],
        "preferences": {kinds[0]: 2, kinds[1]: 1, kinds[2]: -2},
        "present": present,
    }


def _make_sure_of_skills(random: Random, people: list[Document]) -> None:
    """Give every skill to somebody for the day, as no site calls a day without them."""
    adults = [p for p in people if p["age"] >= 18 and "lead" not in p["skills"]]
    adults = adults or [p for p in people if p["age"] >= 18]
    until = (ON + timedelta(days=SURE_DAYS)).isoformat()
    for skill, least in SURE.items():
        held = sum(p["skills"].get(skill, "") >= ON.isoformat() for p in people)
        for person in random.sample(adults, max(0, least - held)):
            person["skills"][skill] = until


def _build_tasks(random: Random, shape: DaySize) -> list[Document]:
    tasks: list[Document] = []
    often = {kind: facts[0] for kind, facts in KINDS.items() if facts[0]}
    for zone in range(shape.zones):
        ends_at = round((zone + 1) * shape.tasks / shape.zones)
        while len(tasks) < ends_at:
            room = shape.tasks - len(tasks)
            kind = random.choices(sorted(often), [often[k] for k in sorted(often)])[0]
            if kind == "core" and room < 2:
                continue
            required = random.random() < 0.4
            units = random.randint(*shape.units)
            if kind == "measure":
                units = max(2, units // 4)
            tasks.append(_task(random, len(tasks), kind, zone, required, units))
            if kind == "core":
                closing = _task(random, len(tasks), "backfill", zone, required, units)
                tasks.append(closing | {"closes": tasks[-1]["id"]})
    return tasks


def _task(
    random: Random, number: int, kind: str, zone: int, required: bool, units: int
) -> Document:
    _, points, crew, skill, tools, least_age, heavy, kneeling, powered = KINDS[kind]
    return {
        "id": f"t{number:02}",
        "kind": kind,
        "zone": zone,
        "required": required,
        "units": units,
        "points_per_unit": points,
        "value_per_unit": points * random.randint(1, 5),
        "crew": {"min": crew[0], "max": crew[1]},
        "skills": {skill: 1} if skill else {},
        "tools": dict(tools),
        "minimum_age": least_age,
        "heavy": heavy,
        "kneeling": kneeling,
        "powered_minutes_per_round": powered,
        "closes": None,
    }


def write_document(build: Any, sizes: tuple[str, ...], arguments: list[str] | None) -> None:
    """Write one made document to a file: the command of this module and of `seasons_made`."""
    parser = argparse.ArgumentParser(description="Write a made problem to a file.")
    parser.add_argument("size", choices=sizes)
    parser.add_argument("seed", type=int)
    parser.add_argument("file", type=Path)
    asked = parser.parse_args(arguments)
    asked.file.write_text(json.dumps(build(asked.size, asked.seed), indent=1) + "\n")


if __name__ == "__main__":
    write_document(build_day, tuple(SIZES), None)
