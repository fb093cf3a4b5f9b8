"""Small seasons built by hand, and season documents read for trials."""

import json
from datetime import date
from pathlib import Path

from scheduling.domain.people import Band
from scheduling.domain.season import (
    Demand,
    Item,
    PeopleClass,
    SeasonProblem,
    SeasonSession,
    SetCapacity,
    Stock,
)

ON = date(2027, 4, 17)


def item(id_: str, **facts) -> Item:
    facts = {
        "place": f"place of {id_}",
        "kind": "weed",
        "units": 2,
        "demands": (Demand("", Band.UNDER_12, 10),),
        "crew_least": 1,
        "crew_most": 1,
        "tools": (),
        "materials": (),
        "sessions": (0, 1, 2),
        "after": (),
        "closes": None,
        "value_per_unit": 5,
    } | facts
    return Item(id=id_, **facts)


def session(number: int, **facts) -> SeasonSession:
    facts = {
        "on": ON,
        "usable_min": 100,
        "people_expected": 5,
        "capacity": (SetCapacity((0,), 100),),
        "tools": (),
        "most_crews": 9,
    } | facts
    return SeasonSession(id=number, **facts)


def season(items, sessions=None, **facts) -> SeasonProblem:
    sessions = tuple(sessions or (session(n) for n in range(3)))
    facts = {
        "name": "test season",
        "classes": (PeopleClass(0, Band.ADULT, ()),),
        "materials": (),
        "discount": (1000, 900, 800)[: len(sessions)],
    } | facts
    return SeasonProblem(items=tuple(items), sessions=sessions, **facts)


def read_season(path: Path) -> SeasonProblem:
    """Return the problem of a season document. For trials only: knows one format."""
    doc = json.loads(path.read_text())
    number = {s["id"]: index for index, s in enumerate(doc["sessions"])}
    pairs = lambda d: tuple(sorted(d.items()))  # noqa: E731
    return SeasonProblem(
        name=doc["name"],
        classes=tuple(
            PeopleClass(c["id"], Band(c["band"]), tuple(c["skills"])) for c in doc["classes"]
        ),
        sessions=tuple(
            SeasonSession(
                id=number[s["id"]],
                on=date.fromisoformat(s["on"]),
                usable_min=s["usable_minutes"],
                people_expected=s["people_expected"],
                capacity=tuple(SetCapacity(tuple(c), n) for c, n in s["capacity"]),
                tools=pairs(s["tools"]),
                most_crews=s["most_crews"],
            )
            for s in doc["sessions"]
        ),
        items=tuple(
            Item(
                id=i["id"],
                place=i["place"],
                kind=i["kind"],
                units=i["units"],
                demands=tuple(
                    Demand(d["skill"] or "", Band(d["least_band"]), d["minutes_per_unit"])
                    for d in i["demands"]
                ),
                crew_least=i["crew"]["min"],
                crew_most=i["crew"]["max"],
                tools=pairs(i["tools"]),
                materials=pairs(i["materials"]),
                sessions=tuple(range(i["window"][0], i["window"][1] + 1)),
                after=tuple((a, same) for a, same in i["after"]),
                closes=i["closes"],
                value_per_unit=i["value_per_unit"],
                finish_by=i["finish_by"],
                late_penalty=i["late_penalty"],
                split_penalty=i["split_penalty"],
            )
            for i in doc["items"]
        ),
        materials=tuple(
            Stock(m["id"], tuple((a, b) for a, b in m["deliveries"])) for m in doc["materials"]
        ),
        discount=tuple(doc["discount"]),
    )
