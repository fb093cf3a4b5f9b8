"""Tiny days and seasons, made from a seed, small enough to try every answer there is.

Rules and figures vary, so that each condition of the documents binds in some of them.
Not for measuring: those made for that are in `days_made` and `seasons_made`.
"""

from random import Random
from typing import Any

from tests.benchmarks.days_made import ON

Document = dict[str, Any]
YESTERDAY, TODAY = "2027-04-16", ON.isoformat()
SKILLS = ("lead", "first aid", "auger")


def build_tiny_day(seed: int) -> Document:
    """Return a day of four or five people, two or three tasks, two or three rounds."""
    random = Random(f"tiny day {seed}")
    people = [_person(random, number) for number in range(random.choice((4, 4, 4, 4, 4, 5)))]
    rounds = 3 if len(people) == 4 and random.random() < 0.6 else 2
    for person in people:
        person["present"] = [random.random() < 0.93 - 0.13 * (rounds == 3) for _ in range(rounds)]
    adults = [person for person in people if person["age"] >= 18]
    for person in people:
        if person["age"] < 12 and random.random() < 0.6:
            person["guardian"] = random.choice(adults)["id"]
        elif person["age"] < 18 and random.random() < 0.4:
            person["group"] = "G0"
    if any(person["group"] for person in people):
        random.choice(adults)["staff_of"] = "G0"
    tasks = _tasks(random)
    problem = {
        "format": "day-problem/1",
        "name": f"tiny-day-{seed}",
        "on": TODAY,
        "rounds": rounds,
        "round_minutes": 30,
        "tools": {"spade": random.choice((1, 2, 2, 3))},
        "people": people,
        "tasks": tasks,
        "rules": _rules(random),
        "weights": {
            "preference": random.choice((0, 1, 2)),
            "unpaired_novice": random.choice((0, 1, 3)),
            "most_heavy_rounds": random.choice((0, 1, 4)),
        },
        "published": None,
    }
    if random.random() < 0.3:
        names = [None, *(task["id"] for task in tasks)]
        problem["published"] = {person["id"]: random.choices(names, k=rounds) for person in people}
    return problem


def _person(random: Random, number: int) -> Document:
    is_adult = number < 2 or random.random() < 0.6
    age = random.randint(18, 60) if is_adult else random.choice((8, 10, 13, 15, 16, 17))
    likes = random.sample(("core", "backfill", "weed"), 2)
    skills = SKILLS if is_adult else ()
    return {
        "id": f"p{number}",
        "age": age,
        "checked": is_adult and random.random() < 0.8,
        "skills": {
            skill: random.choice((TODAY, TODAY, "2027-08-01", YESTERDAY))
            for skill in skills
            if random.random() < 0.7
        },
        "restrictions": random.choices(
            ([], ["no lifting"], ["no kneeling"], ["no long kneeling"]), (7, 1, 1, 1)
        )[0],
        "guardian": None,
        "group": None,
        "staff_of": None,
        "experience": random.randint(0, 2),
        "preferences": {likes[0]: random.randint(1, 2), likes[1]: -random.randint(1, 2)},
        "present": [],
    }


def _tasks(random: Random) -> list[Document]:
    kinds = random.choice(
        (("core", "backfill"), ("core", "backfill"), ("weed",), ("weed", "mulch"))
    )
    tasks = []
    for number, kind in enumerate(kinds):
        least = random.choice((1, 1, 2))
        is_core = kind == "core"
        units = random.randint(1, 5)
        task = {
            "id": f"t{number}",
            "kind": kind,
            "zone": random.randint(0, 1),
            "required": random.random() < 0.5,
            "units": units,
            "points_per_unit": random.randint(1, 4),
            "value_per_unit": random.randint(1, 5),
            "crew": {"min": least, "max": least + random.randint(0, 3)},
            "skills": {"auger": 1} if is_core else {},
            "tools": {"spade": random.randint(1, 2)} if random.random() < 0.5 else {},
            "minimum_age": random.choice((0, 12, 16)) if is_core else 0,
            "heavy": is_core or kind == "mulch",
            "kneeling": kind in ("weed", "backfill"),
            "powered_minutes_per_round": 15 if is_core else 0,
            "closes": "t0" if kind == "backfill" else None,
        }
        tasks.append(task)
    if kinds[-1] == "backfill":
        tasks[1]["units"] = tasks[0]["units"]
    return tasks


def _rules(random: Random) -> Document:
    return {
        "lead_skill": "lead",
        "first_aid_skill": "first aid",
        "supervision": {
            "denominator": 120,
            "weights": random.choice(([20, 15, 12, 0], [120, 60, 60, 0])),
        },
        "checked_adults_per_zone": random.choice((0, 1, 2)),
        "smallest_class_part": random.choice((1, 2)),
        "powered_minutes_per_person": random.choice((15, 30, 45)),
        "heavy_rounds_in_a_row": random.choice((1, 2)),
        "long_kneeling_rounds": random.choice((0, 1)),
        "rounds_before_rest": random.choice(([1, 1, 2, 2], [2, 2, 3, 3])),
        "points_per_round": [1, 2, 3, 3],
    }


def build_tiny_season(seed: int) -> Document:
    """Return a season of two or three sessions and two or three items of a few units."""
    random = Random(f"tiny season {seed}")
    sessions = random.choice((2, 3))
    items = [_item(random, number, sessions) for number in range(random.choice((2, 3)))]
    for number, item in enumerate(items[1:], start=1):
        before = items[number - 1]
        if random.random() < 0.4:
            item["after"] = [[before["id"], random.random() < 0.5]]
        elif random.random() < 0.3:
            item |= {"closes": before["id"], "units": before["units"], "place": before["place"]}
    return {
        "format": "season-problem/1",
        "name": f"tiny-season-{seed}",
        "classes": [
            {"id": 0, "band": 3, "skills": []},
            {"id": 1, "band": 3, "skills": ["auger"]},
            {"id": 2, "band": 0, "skills": []},
        ],
        "sessions": [_session(random, number) for number in range(sessions)],
        "items": items,
        "materials": [
            {
                "id": "compost",
                "deliveries": [[day, random.randint(1, 4)] for day in range(random.randint(0, 2))],
            }
        ],
        "discount": [1000, 900, 810][:sessions],
    }


def _session(random: Random, number: int) -> Document:
    adults, augers, young = random.randint(1, 3), random.randint(0, 1), random.randint(0, 2)
    usable_min = random.choice((20, 30, 40))
    return {
        "id": f"D{number}",
        "on": f"2027-04-{17 + number}",
        "usable_minutes": usable_min,
        "people_expected": adults + augers + young,
        "capacity": [
            [[1], usable_min * augers],
            [[0, 1], usable_min * (adults + augers)],
            [[0, 1, 2], usable_min * (adults + augers + young)],
        ],
        "tools": {"auger": random.choice((0, 1, 1, 2))},
        "most_crews": random.choice((1, 2, 3)),
    }


def _item(random: Random, number: int, sessions: int) -> Document:
    least = random.choice((1, 1, 2, 3))
    demands = [{"skill": None, "least_band": random.choice((0, 0, 3)), "minutes_per_unit": 10}]
    if random.random() < 0.3:
        demands.append({"skill": "auger", "least_band": 3, "minutes_per_unit": 5})
    first, last = random.choice((0, 0, 0, 1)), sessions - 1
    if random.random() < 0.3:
        last = random.randint(first, last)
    return {
        "id": f"w{number}",
        "place": random.choice(("P", "Q")),
        "kind": "weed",
        "units": random.randint(1, 4),
        "demands": demands,
        "crew": {"min": least, "max": least + random.randint(0, 2)},
        "tools": {"auger": random.randint(1, 2)} if random.random() < 0.4 else {},
        "materials": {"compost": random.randint(1, 2)} if random.random() < 0.3 else {},
        "window": [first, last],
        "after": [],
        "closes": None,
        "value_per_unit": random.randint(1, 9),
        "finish_by": random.randint(0, sessions - 1) if random.random() < 0.4 else None,
        "late_penalty": random.choice((500, 2000)),
        "split_penalty": random.choice((0, 800, 3000)),
    }
