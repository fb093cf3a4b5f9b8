"""Every field of a problem is in its document or among what the document cannot say.

Each field is changed, and then the document or the list must change too. A field that is
new in the domain fails here until somebody says how it is changed, and until it is written
into the document or listed. What neither holds is named, with why no answer depends on it.
"""

from dataclasses import fields, replace
from datetime import date
from typing import Any

import pytest

from orchard.domain.plan import SkillNeed, ToolItem, ToolNeed
from scheduling.domain.documents.export_day import export_day
from scheduling.domain.documents.export_season import export_season, list_unsaid_of_season
from scheduling.domain.documents.unsaid import list_unsaid
from scheduling.domain.past_share import PastShare
from scheduling.domain.people import Band, GroupId, ItemId, PersonId, Restriction, SessionId, TaskId
from scheduling.domain.problem import CrewTask, Group, Person, RosterProblem, SkillHeld, Weights
from scheduling.domain.rules import all_conditions
from scheduling.domain.season import (
    Demand,
    Item,
    PeopleClass,
    PlannedUnits,
    SeasonProblem,
    SeasonSession,
    SetCapacity,
    Stock,
)
from tests.scheduling.domain import rule_days

DAY = date(2027, 4, 17)


def small_season() -> SeasonProblem:
    """Two sessions and two pieces of work, with something in every field."""
    session = SeasonSession(
        SessionId(1), DAY, 240, 10, (SetCapacity((1,), 600), SetCapacity((1, 2), 900)),
        (("auger", 1),), 3, young=((Band.FROM_12, 120),),
    )  # fmt: skip
    bore = Item(
        ItemId("bore"), "P1", "bore", 8, (Demand("auger", Band.ADULT, 20),), 2, 4,
        (("auger", 1),), (("mix", 3),), (0, 1), (), None, 5, finish_by=1, late_penalty=2,
        split_penalty=1, units_in_one=2, title="Bore P1",
    )  # fmt: skip
    fill = replace(
        bore, id=ItemId("fill"), kind="fill", after=((ItemId("bore"), True),),
        closes=ItemId("bore"), lag_days=((ItemId("bore"), 2),), title="",
    )  # fmt: skip
    return SeasonProblem(
        name="2027",
        classes=(PeopleClass(1, Band.ADULT, ("auger",)), PeopleClass(2, Band.FROM_12, ())),
        sessions=(session, replace(session, id=SessionId(2), on=date(2027, 5, 8))),
        items=(bore, fill),
        materials=(Stock("mix", ((0, 40),)),),
        discount=(1000, 990),
        heavy_kinds=("bore",),
        heavy_most_percent=70,
        kept_free_percent=10,
        young_penalty=3,
    )


SEASON_CHANGES: dict[type, dict[str, Any]] = {
    SeasonProblem: {
        "classes": (PeopleClass(1, Band.ADULT, ()), PeopleClass(2, Band.FROM_12, ())),
        "sessions": None,  # what a session holds is changed below
        "items": None,
        "materials": (Stock("mix", ((1, 40),)),),
        "discount": (1000, 900),
        "heavy_kinds": ("fill",),
        "heavy_most_percent": 60,
        "kept_free_percent": 20,
        "young_penalty": 0,
    },
    SeasonSession: {
        "id": SessionId(9), "on": date(2027, 4, 24), "usable_min": 200, "people_expected": 9,
        "capacity": (SetCapacity((1,), 500),), "tools": (), "most_crews": 2, "young": (),
    },
    Item: {
        "id": ItemId("other"), "place": "P2", "kind": "dig", "units": 7,
        "demands": (Demand("", Band.ADULT, 20),), "crew_least": 1, "crew_most": 5, "tools": (),
        "materials": (), "sessions": (0,), "after": None, "closes": None, "value_per_unit": 6,
        "finish_by": 0, "late_penalty": 3, "split_penalty": 2, "units_in_one": 1, "title": "",
        "lag_days": None,
    },
}  # fmt: skip
OF_THE_SECOND = {"after": (), "closes": None, "lag_days": ()}  # only the filling has them
SEASON_NOT_SAID = {
    (SeasonProblem, "name"): "the document has the name it is given when it is written",
    (Item, "unit"): "words: units are counted alike whatever they are",
    (Item, "task_units"): "for sentences; that a unit stands for several is listed",
}


def season_document(problem: SeasonProblem) -> tuple[object, ...]:
    return export_season(problem, name="n"), list_unsaid_of_season(problem, ())


def changed_season(kind: type, field: str) -> SeasonProblem:
    problem = small_season()
    value = SEASON_CHANGES[kind].get(field)
    if kind is SeasonProblem:
        if value is None:
            value = getattr(problem, field)[:1] if field == "sessions" else ()
        return replace(problem, **{field: value})
    if kind is SeasonSession:
        return replace(problem, sessions=(replace(problem.sessions[0], **{field: value}),
                                          problem.sessions[1]))  # fmt: skip
    bore, fill = problem.items
    if field in OF_THE_SECOND:
        return replace(problem, items=(bore, replace(fill, **{field: OF_THE_SECOND[field]})))
    return replace(problem, items=(replace(bore, **{field: value}), fill))


@pytest.mark.parametrize(
    ("kind", "field"),
    [(kind, one.name) for kind in SEASON_CHANGES for one in fields(kind)],
    ids=lambda each: each if isinstance(each, str) else each.__name__,
)
def test_a_field_of_a_season_is_in_the_document_or_listed(kind: type, field: str) -> None:
    is_same = (kind, field) in SEASON_NOT_SAID
    assert is_same or field in SEASON_CHANGES[kind], f"{kind.__name__}.{field}: say how it changes"
    if is_same:
        return
    assert season_document(changed_season(kind, field)) != season_document(small_season())


def test_promised_work_is_listed() -> None:
    promised = (PlannedUnits(ItemId("bore"), SessionId(1), 2),)

    assert list_unsaid_of_season(small_season(), promised) != list_unsaid_of_season(
        small_season(), ()
    )


# --- a day -------------------------------------------------------------------


def small_day() -> RosterProblem:
    """A day with a class, a child, boring and filling."""
    tasks = [
        rule_days.task(1, units=10, opens_ground=True, tools={"auger": 1}),
        rule_days.task(2, units=10, closes=TaskId(1)),
        rule_days.task(3, units=10),
    ]
    people = [
        rule_days.adult(1, skills=("lead", "first_aid")),
        rule_days.adult(2, skills=("lead",)),
        *(rule_days.adult(n) for n in (3, 4, 5)),
        rule_days.child(6, 14),
    ]
    problem = rule_days.day(people, tasks)
    return replace(problem, tools=(ToolItem("auger", "auger", 1, 0),))


PERSON_CHANGES: dict[str, Any] = {
    "id": PersonId(60), "age": 15, "present": (False, False, True), "checked": False,
    "skills": (SkillHeld("auger", date(2030, 1, 1)),), "restrictions": tuple(Restriction)[:1],
    "guardian": PersonId(1), "group": GroupId(7), "staff_of": GroupId(7), "consents": (),
    "experience": 2, "preferences": (("weed", 2),), "wished_skills": ("auger",),
    "heavy_liking": 1, "companions": (PersonId(2),), "past": PastShare(sessions=1),
}  # fmt: skip
PERSON_NOT_SAID = {"name": "nobody is named in a document"}
TASK_CHANGES: dict[str, Any] = {
    "id": TaskId(30), "kind": "dig", "zone": "elsewhere", "required": False, "units": 9,
    "points_per_unit": 99, "value_per_unit": 77, "crew_least": 2, "crew_most": 3,
    "skills": (SkillNeed("auger", 1),), "tools": (ToolNeed("auger", 1),), "minimum_age": 17,
    "heavy": True, "kneeling": True, "powered_min_per_round": 20, "opens_ground": True,
    "digs": True, "closes": TaskId(1),
}  # fmt: skip
TASK_NOT_SAID = {
    "key": "the plan's own name of a task; the document has its number",
    "title": "words; the document has the number",
    "unit": "words: units are counted alike whatever they are",
    "time": "words: which time it is that the plan does this work",
    # What the rules make of these is refused, or listed as a rule: tests of `unsaid`.
    "after": "by the rules that read it", "load_kg_per_litre": "by the rules that read it",
    "at_height": "by the rules that read it", "lifts": "by the rules that read it",
}  # fmt: skip
DAY_CHANGES: dict[str, Any] = {
    "on": date(2027, 5, 1), "rounds": 2, "round_minutes": 50, "people": (), "tasks": (),
    "tools": (ToolItem("auger", "auger", 2, 0),), "lead_skill": "auger", "first_aid_skill": "auger",
    "pace_percent": (10, 20, 30, 90), "points_by_band_per_round": (1, 2, 3, 4),
    "weights": Weights(preference=9), "published": ((PersonId(3), 0, TaskId(3)),),
    "locks": ((PersonId(3), 0, TaskId(3)),),
}  # fmt: skip
DAY_NOT_SAID = {
    "name": "the document has the name it is given when it is written",
    "groups": "names of classes; pupils and staff carry their class's number",
    "locates": "by the rules that read it", "policy": "by the rules that read it",
    "consent_version": "by the rules that read it", "facts": "by the rules that read it",
    "older_consent_versions": "by the rules that read it",
}  # fmt: skip


def day_document(problem: RosterProblem) -> tuple[object, ...]:
    conditions = all_conditions(problem)
    return export_day(problem, conditions, name="n"), list_unsaid(problem, conditions)


def changed_day(kind: type, field: str) -> RosterProblem:
    problem = small_day()
    if kind is Person:
        who = 4 if field in ("consents", "guardian") else 3
        who = 5 if field in ("age", "group") else who
        people = list(problem.people)
        people[who] = replace(people[who], **{field: PERSON_CHANGES[field]})
        if field == "consents":
            people[5] = replace(people[5], consents=())
            people[4] = problem.people[4]
        groups = (Group(GroupId(7), "Class"),) if field in ("group", "staff_of") else ()
        return replace(problem, people=tuple(people), groups=groups)
    if kind is CrewTask:
        first, second, third = problem.tasks
        return replace(
            problem, tasks=(first, second, replace(third, **{field: TASK_CHANGES[field]}))
        )
    if field == "rounds":
        people = tuple(replace(p, present=p.present[:2]) for p in problem.people)
        return replace(problem, rounds=2, people=people)
    return replace(problem, **{field: DAY_CHANGES[field]})


@pytest.mark.parametrize(
    ("kind", "field", "how", "apart"),
    [
        (kind, one.name, how, apart)
        for kind, how, apart in (
            (RosterProblem, DAY_CHANGES, DAY_NOT_SAID),
            (Person, PERSON_CHANGES, PERSON_NOT_SAID),
            (CrewTask, TASK_CHANGES, TASK_NOT_SAID),
        )
        for one in fields(kind)
    ],
    ids=lambda each: each if isinstance(each, str) else getattr(each, "__name__", ""),
)
def test_a_field_of_a_day_is_in_the_document_or_listed(
    kind: type, field: str, how: dict[str, Any], apart: dict[str, str]
) -> None:
    assert (field in how) is not (field in apart), f"{kind.__name__}.{field}: say how it changes"
    if field in how:
        assert day_document(changed_day(kind, field)) != day_document(small_day())
