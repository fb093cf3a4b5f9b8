"""Documents as JSON text: one person, task, session or item to a line, so that lines can be named.

What is written reads back as the same values. Front doors: `write_day_problem`,
`write_day_roster`, `write_season_problem`, `write_season_plan`.
"""

import json
from dataclasses import asdict
from typing import Any

from scheduling.domain.documents import day_problem, day_roster, season_plan, season_problem
from scheduling.domain.documents.day_problem import DayDocument, DayRules, PersonEntry, TaskEntry
from scheduling.domain.documents.day_roster import DayAnswer
from scheduling.domain.documents.season_plan import SeasonAnswer
from scheduling.domain.documents.season_problem import ItemEntry, SeasonDocument, SessionEntry
from scheduling.domain.past_share import PastShare


def write_day_problem(document: DayDocument) -> str:
    """Return a day's document as text."""
    published = document.published
    return _lay_out(
        {
            "format": day_problem.FORMAT,
            "name": document.name,
            "on": document.on.isoformat(),
            "rounds": document.rounds,
            "round_minutes": document.round_minutes,
            "tools": dict(document.tools),
            "people": [_person(person) for person in document.people],
            "tasks": [_task(task) for task in document.tasks],
            "rules": _rules(document.rules),
            "weights": asdict(document.weights),
            "published": None if published is None else {p: list(row) for p, row in published},
        }
    )


def _person(entry: PersonEntry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "age": entry.age,
        "checked": entry.checked,
        "skills": {skill: last.isoformat() for skill, last in entry.skills},
        "restrictions": [str(restriction) for restriction in entry.restrictions],
        "guardian": entry.guardian,
        "group": entry.group,
        "staff_of": entry.staff_of,
        "experience": entry.experience,
        "preferences": dict(entry.preferences),
        "present": list(entry.present),
        **({"wishes": list(entry.wishes)} if entry.wishes else {}),
        **({"heavy_liking": entry.heavy_liking} if entry.heavy_liking else {}),
        **({"companions": list(entry.companions)} if entry.companions else {}),
        **({} if entry.past is None else {"past": _past(entry.past)}),
    }


def _past(past: PastShare) -> dict[str, Any]:
    return asdict(past) | {"again": list(past.again)}


def _task(entry: TaskEntry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "kind": entry.kind,
        "zone": entry.zone,
        "required": entry.required,
        "units": entry.units,
        "points_per_unit": entry.points_per_unit,
        "value_per_unit": entry.value_per_unit,
        "crew": {"min": entry.crew_min, "max": entry.crew_max},
        "skills": dict(entry.skills),
        "tools": dict(entry.tools),
        "minimum_age": entry.minimum_age,
        "heavy": entry.heavy,
        "kneeling": entry.kneeling,
        "powered_minutes_per_round": entry.powered_minutes_per_round,
        "closes": entry.closes,
    }


def _rules(rules: DayRules) -> dict[str, Any]:
    plain = asdict(rules)
    supervision = {
        "denominator": plain.pop("supervision_denominator"),
        "weights": plain.pop("supervision_weights"),
    }
    return {
        "lead_skill": plain.pop("lead_skill"),
        "first_aid_skill": plain.pop("first_aid_skill"),
        "supervision": supervision,
        **plain,
    }


def write_day_roster(answer: DayAnswer) -> str:
    """Return a day's answer as text; reasons only where there are some."""
    return _lay_out(
        {
            "format": day_roster.FORMAT,
            "problem": answer.problem,
            "status": str(answer.status),
            "assignments": {person: list(row) for person, row in answer.assignments},
            "units": {task: list(row) for task, row in answer.units},
            "objective": None if answer.objective is None else asdict(answer.objective),
            "bound": None if answer.bound is None else asdict(answer.bound),
            "seconds": answer.seconds,
        }
        | ({"reasons": list(answer.reasons)} if answer.reasons else {})
    )


def write_season_problem(document: SeasonDocument) -> str:
    """Return a season's document as text."""
    return _lay_out(
        {
            "format": season_problem.FORMAT,
            "name": document.name,
            "classes": [asdict(one) for one in document.classes],
            "sessions": [_session(one) for one in document.sessions],
            "items": [_item(one) for one in document.items],
            "materials": [asdict(one) for one in document.materials],
            "discount": list(document.discount),
        }
    )


def _session(entry: SessionEntry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "on": entry.on.isoformat(),
        "usable_minutes": entry.usable_minutes,
        "people_expected": entry.people_expected,
        "capacity": entry.capacity,
        "tools": dict(entry.tools),
        "most_crews": entry.most_crews,
    }


def _item(entry: ItemEntry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "place": entry.place,
        "kind": entry.kind,
        "units": entry.units,
        "demands": [asdict(demand) for demand in entry.demands],
        "crew": {"min": entry.crew_min, "max": entry.crew_max},
        "tools": dict(entry.tools),
        "materials": dict(entry.materials),
        "window": entry.window,
        "after": entry.after,
        "closes": entry.closes,
        "value_per_unit": entry.value_per_unit,
        "finish_by": entry.finish_by,
        "late_penalty": entry.late_penalty,
        "split_penalty": entry.split_penalty,
    }


def write_season_plan(answer: SeasonAnswer) -> str:
    """Return a season's answer as text; reasons only where there are some."""
    return _lay_out(
        {
            "format": season_plan.FORMAT,
            "problem": answer.problem,
            "status": str(answer.status),
            "units": {item: dict(row) for item, row in answer.units},
            "objective": answer.objective,
            "bound": answer.bound,
            "seconds": answer.seconds,
        }
        | ({"reasons": list(answer.reasons)} if answer.reasons else {})
    )


def _lay_out(document: dict[str, Any]) -> str:
    members = ",\n".join(f"{_plain(key)}: {_block(value)}" for key, value in document.items())
    return f"{{\n{members}\n}}\n"


def _block(value: Any) -> str:
    """Return a list or object of lists or objects with a line for each, anything else on one."""
    if isinstance(value, list) and any(isinstance(one, dict | str) for one in value):
        return "[\n" + ",\n".join(f"  {_plain(one)}" for one in value) + "\n]"
    if isinstance(value, dict) and any(isinstance(one, dict | list) for one in value.values()):
        lines = (f"  {_plain(key)}: {_plain(one)}" for key, one in value.items())
        return "{\n" + ",\n".join(lines) + "\n}"
    return _plain(value)


def _plain(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)
