"""Small invented problem documents: built by hand, or at random from a seed."""

from dataclasses import replace
from datetime import date
from random import Random

from scheduling.domain.documents.day_problem import (
    DayDocument,
    DayRules,
    PersonEntry,
    TaskEntry,
)
from scheduling.domain.documents.day_roster import DayAnswer
from scheduling.domain.documents.season_plan import SeasonAnswer
from scheduling.domain.documents.season_problem import (
    ClassEntry,
    DemandEntry,
    ItemEntry,
    MaterialEntry,
    SeasonDocument,
    SessionEntry,
)
from scheduling.domain.past_share import PastShare
from scheduling.domain.people import Restriction
from scheduling.domain.problem import Weights
from scheduling.domain.roster import SolveStatus, Value

ON = date(2027, 4, 17)
IN_DATE, LAST_DAY, LAPSED = date(2028, 1, 31), ON, date(2027, 4, 16)

RULES = DayRules(
    lead_skill="lead",
    first_aid_skill="first aid",
    supervision_denominator=120,
    supervision_weights=(20, 15, 12, 0),
    checked_adults_per_zone=2,
    smallest_class_part=3,
    powered_minutes_per_person=45,
    heavy_rounds_in_a_row=2,
    long_kneeling_rounds=2,
    rounds_before_rest=(3, 3, 3, 4),
    points_per_round=(1, 2, 3, 3),
)


def person(name, *, rounds=2, holds=(), **facts) -> PersonEntry:
    """An adult who is there all day; what they hold lasts well past the day."""
    facts = {
        "age": 30, "checked": False, "restrictions": (), "guardian": None, "group": None,
        "staff_of": None, "experience": 1, "preferences": (), "present": (True,) * rounds,
        "skills": tuple(sorted((skill, IN_DATE) for skill in holds)),
    } | facts  # fmt: skip
    return PersonEntry(id=name, **facts)


def task(name, **facts) -> TaskEntry:
    """A light task for one to four people, worth one a unit, one point a unit."""
    facts = {
        "kind": "weed", "zone": 0, "required": False, "units": 3, "points_per_unit": 1,
        "value_per_unit": 1, "crew_min": 1, "crew_max": 4, "skills": (), "tools": (),
        "minimum_age": 0, "heavy": False, "kneeling": False, "powered_minutes_per_round": 0,
        "closes": None,
    } | facts  # fmt: skip
    return TaskEntry(id=name, **facts)


def day(people, tasks, *, rounds=2, rules=RULES, **facts) -> DayDocument:
    facts = {
        "name": "small day", "on": ON, "round_minutes": 35, "tools": (), "weights": Weights(),
        "published": None,
    } | facts  # fmt: skip
    return DayDocument(
        rounds=rounds, people=tuple(people), tasks=tuple(tasks), rules=rules, **facts
    )


def answer(document, rows, units=(), **facts) -> DayAnswer:
    """An answer with these rows: {"p1": "t1 -"} is the task t1, then nothing."""
    facts = {
        "problem": document.name, "status": SolveStatus.GOOD, "objective": Value(0, 0, 0, 0),
        "bound": Value(0, 0, 0, 0), "seconds": 0.1,
    } | facts  # fmt: skip
    spread = tuple(
        (name, tuple(None if one == "-" else one for one in row.split()))
        for name, row in dict(rows).items()
    )
    return DayAnswer(assignments=spread, units=tuple(dict(units).items()), **facts)


def random_day(seed: int, *, most_people=5, most_tasks=3, most_rounds=3) -> DayDocument:
    """A day in which every sentence of the format may matter."""
    dice = Random(seed)
    rounds = dice.randint(1, most_rounds)
    people = [_random_person(dice, n, rounds) for n in range(dice.randint(2, most_people))]
    people = [_with_guardian(dice, one, people) for one in people]
    behind = Random(f"season {seed}")
    people = [_with_season(behind, one) for one in people]
    people = _with_company(behind, people)
    tasks = [_random_task(dice, n) for n in range(dice.randint(1, most_tasks))]
    if len(tasks) > 1 and dice.random() < 0.4:
        tasks[1] = replace(tasks[1], closes=tasks[0].id)
    published = None
    if dice.random() < 0.3:
        names = [one.id for one in people] + ["left"]
        offered = [None, "gone", *(one.id for one in tasks)]
        published = tuple(
            (name, tuple(dice.choice(offered) for _ in range(rounds)))
            for name in sorted(dice.sample(names, 2))
        )
    return day(
        people, tasks, rounds=rounds, rules=_random_rules(dice), published=published,
        tools=(("hoe", dice.randint(0, 2)),),
        weights=Weights(dice.randint(0, 2), dice.randint(0, 2), dice.randint(0, 3)),
    )  # fmt: skip


def _random_person(dice, number, rounds) -> PersonEntry:
    age = dice.choice((9, 13, 16, 17, 18, 30, 30, 40, 50))
    dates = (IN_DATE, IN_DATE, LAST_DAY, LAPSED)
    held = [
        s for s, odds in (("lead", 0.6), ("first aid", 0.6), ("saw", 0.5)) if dice.random() < odds
    ]
    in_class = age < 18 and dice.random() < 0.4
    return person(
        f"p{number}",
        age=age,
        checked=dice.random() < 0.8,
        skills=tuple(sorted((skill, dice.choice(dates)) for skill in held)),
        restrictions=tuple(sorted(r for r in list(Restriction)[:3] if dice.random() < 0.12)),
        group="G0" if in_class else None,
        staff_of="G0" if age >= 18 and dice.random() < 0.3 else None,
        experience=dice.randint(0, 2),
        preferences=tuple(
            (k, dice.randint(-2, 2)) for k in ("core", "weed") if dice.random() < 0.6
        ),
        present=tuple(dice.random() < 0.9 for _ in range(rounds)),
    )


def _with_season(dice, one) -> PersonEntry:
    """Half of the people have a season behind them, some wish to learn to saw."""
    past = None
    if dice.random() < 0.5:
        counts = [dice.choice((0, 0, 1, 3, 6)) for _ in range(10)]
        past = PastShare(dice.randint(0, 3), *counts, again=dice.choice(((), ("weed",))))
    return replace(
        one,
        past=past,
        wishes=("saw",) if dice.random() < 0.4 else (),
        heavy_liking=dice.choice((-1, 0, 0, 1)),
    )


def _with_company(dice, people) -> list[PersonEntry]:
    """Some name others, some of these name them too."""
    names = [one.id for one in people]
    return [
        replace(
            one,
            companions=tuple(
                sorted(name for name in names if name != one.id and dice.random() < 0.3)
            ),
        )
        for one in people
    ]


def _with_guardian(dice, one, people) -> PersonEntry:
    grown = [other.id for other in people if other.age >= 18]
    if one.age < 18 and grown and dice.random() < 0.6:
        return replace(one, guardian=dice.choice(grown))
    return one


def _random_task(dice, number) -> TaskEntry:
    least = dice.choice((0, 1, 1, 1, 2))
    return task(
        f"t{number}",
        kind=dice.choice(("core", "weed")),
        zone=dice.randint(0, 1),
        required=dice.random() < 0.4,
        units=dice.randint(0, 4),
        points_per_unit=dice.randint(0, 4),
        value_per_unit=dice.randint(0, 3),
        crew_min=least,
        crew_max=dice.randint(max(1, least), 4),
        skills=(("saw", 1),) if dice.random() < 0.3 else (),
        tools=(("hoe", dice.randint(0, 2)),) if dice.random() < 0.4 else (),
        minimum_age=dice.choice((0, 0, 0, 12, 16, 18)),
        heavy=dice.random() < 0.35,
        kneeling=dice.random() < 0.3,
        powered_minutes_per_round=dice.choice((0, 0, 0, 20)),
    )


def _random_rules(dice) -> DayRules:
    return replace(
        RULES,
        supervision_denominator=dice.choice((1, 2, 120)),
        supervision_weights=dice.choice(((1, 1, 1, 0), (20, 15, 12, 0), (2, 1, 0, 0))),
        checked_adults_per_zone=dice.randint(0, 2),
        smallest_class_part=dice.randint(0, 3),
        powered_minutes_per_person=dice.choice((0, 20, 45)),
        heavy_rounds_in_a_row=dice.randint(0, 2),
        long_kneeling_rounds=dice.randint(0, 2),
        rounds_before_rest=tuple(dice.randint(1, 3) for _ in range(4)),
    )


def random_answer(document, seed: int) -> DayAnswer:
    """Anything at all, mostly a little wrong."""
    dice = Random(seed)
    busy = dice.choice((0.2, 0.5, 0.9))
    rows = {
        one.id: " ".join(
            dice.choice(document.tasks).id
            if (there or dice.random() < 0.05) and dice.random() < busy
            else "-"
            for there in one.present
        )
        for one in document.people
        if dice.random() < 0.95
    }
    units = {
        one.id: tuple(dice.choice((0, 0, 0, 1, 2)) for _ in range(document.rounds))
        for one in document.tasks
        if dice.random() < 0.4
    }
    return answer(document, rows, units)


def item(name, **facts) -> ItemEntry:
    """Light work by anybody, in one place, at any time of a season of two sessions."""
    facts = {
        "place": "P1", "kind": "weed", "units": 4, "demands": (DemandEntry(None, 0, 10),),
        "crew_min": 1, "crew_max": 2, "tools": (), "materials": (), "window": (0, 1), "after": (),
        "closes": None, "value_per_unit": 5, "finish_by": None, "late_penalty": 0,
        "split_penalty": 0,
    } | facts  # fmt: skip
    return ItemEntry(id=name, **facts)


def session(name, **facts) -> SessionEntry:
    facts = {
        "on": ON, "usable_minutes": 60, "people_expected": 4,
        "capacity": (((0, 1), 240), ((1,), 60)), "tools": (), "most_crews": 2,
    } | facts  # fmt: skip
    return SessionEntry(id=name, **facts)


def season(items, sessions=None, **facts) -> SeasonDocument:
    sessions = (session("D0"), session("D1")) if sessions is None else tuple(sessions)
    facts = {
        "name": "small season", "materials": (), "discount": (1000,) * len(sessions),
        "classes": (ClassEntry(0, 1, ()), ClassEntry(1, 3, ("auger",))),
    } | facts  # fmt: skip
    return SeasonDocument(sessions=sessions, items=tuple(items), **facts)


def season_answer(document, units, **facts) -> SeasonAnswer:
    facts = {
        "problem": document.name, "status": SolveStatus.GOOD, "objective": 0, "bound": 0,
        "seconds": 0.1,
    } | facts  # fmt: skip
    return SeasonAnswer(units=tuple((k, tuple(v.items())) for k, v in units.items()), **facts)


def random_season(seed: int) -> SeasonDocument:
    """A season in which every sentence of the format may matter."""
    dice = Random(seed)
    count = dice.randint(1, 3)
    sessions = [
        session(
            f"D{n}",
            usable_minutes=dice.choice((20, 40, 60)),
            people_expected=dice.randint(1, 4),
            capacity=(((0, 1), dice.randint(20, 120)), ((1,), dice.randint(0, 60))),
            tools=(("auger", dice.randint(0, 1)),),
            most_crews=dice.randint(1, 2),
        )
        for n in range(count)
    ]
    items = [_random_item(dice, n, count) for n in range(dice.randint(1, 4))]
    if len(items) > 1 and dice.random() < 0.5:
        items[1] = replace(items[1], closes=items[0].id, units=items[0].units)
    if len(items) > 2 and dice.random() < 0.6:
        items[2] = replace(items[2], after=((items[0].id, dice.random() < 0.5),))
    return season(
        items, sessions, discount=tuple(sorted(dice.randint(1, 10) for _ in range(count))[::-1]),
        materials=(MaterialEntry("compost", ((0, dice.randint(0, 4)), (count - 1, 3))),),
    )  # fmt: skip


def _random_item(dice, number, count) -> ItemEntry:
    first = dice.randint(0, count - 1)
    skilled = DemandEntry("auger", 3, dice.choice((5, 10)))
    plain = DemandEntry(None, dice.choice((0, 2)), dice.choice((5, 10)))
    late = dice.random() < 0.4
    return item(
        f"w{number}",
        place=dice.choice(("P1", "P2")),
        units=dice.randint(0, 3),
        demands=dice.choice(((skilled,), (plain,), (plain, skilled))),
        crew_min=dice.randint(1, 3),
        crew_max=3,
        tools=(("auger", 1),) if dice.random() < 0.4 else (),
        materials=(("compost", dice.randint(1, 2)),) if dice.random() < 0.4 else (),
        window=(first, dice.randint(first, count - 1)),
        value_per_unit=dice.randint(0, 5),
        finish_by=dice.randint(0, count - 1) if late else None,
        late_penalty=dice.randint(0, 20) if late else 0,
        split_penalty=dice.choice((0, 0, 15)),
    )


def random_season_answer(document, seed: int) -> SeasonAnswer:
    """Anything at all, mostly a little wrong."""
    dice = Random(seed)
    busy = dice.choice((0.2, 0.5))
    units = {
        one.id: {s.id: dice.randint(1, 3) for s in document.sessions if dice.random() < busy}
        for one in document.items
    }
    return season_answer(document, {name: row for name, row in units.items() if row})
