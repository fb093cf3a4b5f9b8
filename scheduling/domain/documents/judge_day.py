"""The independent judge of a day's answer: the format's sentences in plain loops.

Shares nothing with the planner, its conditions or `scheduling.domain.verify`,
so that none of them can hide a mistake of its own. Front door: `judge_day`.

What holds in a roster:

- A person does at most one task in a round (the format cannot say otherwise), only when present,
  of age, and within restrictions: "no lifting" no heavy task, "no kneeling" no kneeling task,
  "no long kneeling" at most `long_kneeling_rounds` in all.
- A task's crew in a round is empty or within its limits, has a lead, and the skills it asks for,
  each in date on the day; one person may be counted for several. Tools used in a round, by each
  crew at work, do not exceed those on hand.
- With people under 18 in a crew: checked adults in it × denominator ≥ the sum of the young
  people's weights; the crew has at least three people; the zone, all crews in it that round, has at
  least `checked_adults_per_zone` checked adults. An under-12 with a guardian, when at work, is in
  the guardian's crew. A class's pupils in a crew are at least `smallest_class_part`, with one of
  the class's staff.
- Nobody has more than `heavy_rounds_in_a_row` heavy rounds in a row, nor more than
  `rounds_before_rest` rounds of work in a row, by age band. The minutes with a powered tool
  (`powered_minutes_per_round` above 0, for those who hold one of the task's skills in date) stay
  within `powered_minutes_per_person`.
- In every round, worked in or not, at least one present person with first aid in date is on no
  heavy and no powered task.
- Units done by the end of a round × points per unit ≤ the points put in by then. Units never exceed
  the task's. A closing task is never ahead of what was opened in earlier rounds, and at the end has
  closed exactly what was opened.

Better, strictly in this order: least value of required units left; most value of other units done;
with `published`, fewest person-rounds that differ from it, for people in the document and rounds in
which they are present; most comfort: points of liking × weight, less unpaired novices × weight (in
each crew, novices beyond twice the old hands), less the greatest number of heavy rounds anyone has
× weight.

A round at a task has as many points of liking as the person's preference for its kind, with their
`heavy_liking` added where the task is heavy, and one more when it asks for a skill they wish and do
not hold in date. With a `past` of at least one session the season adds, never more than two either
way: for what is one round above an even share one, for three two (idle: to any work; heavy: from
heavy work they do not like; disliked: from work they dislike; liked and below its even share: to
work they like); one away from a kind named in `again` that they do not like; and for each session,
up to two, towards work they like if `liked` is 0, or towards a skill they wish if `learned` is 0.
Of what leans towards what they like or wish, the largest counts. Two who both name each other among
their `companions` make one point of each round in one crew.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import astuple

from scheduling.domain.documents.day_problem import DayDocument, TaskEntry
from scheduling.domain.documents.day_roster import VALUE_KEYS, DayAnswer
from scheduling.domain.documents.judgement import (
    Broken,
    Figures,
    Judgement,
    list_false_claims,
)
from scheduling.domain.documents.spread_day import (
    CHILD,
    GROWN,
    Crew,
    SpreadDay,
    band,
    count_day,
    spread_day,
)
from scheduling.domain.roster import SolveStatus, Value

CREW_WITH_YOUNG = 3
LEAST = ("required_left", "changes")  # of these less is better


def judge_day(document: DayDocument, answer: DayAnswer) -> Judgement:
    """Return every sentence of the format that a roster breaks, and its objective.

    Args:
        document: The problem.
        answer: A roster for it, from the planner or from anybody.

    Returns:
        What is broken, and the objective counted anew. What names nobody or
        nothing of the problem is reported and left out of the rest.
    """
    unknown = list(_unknown(document, answer))
    day = spread_day(document, answer)
    broken = (
        *unknown,
        *_each_cell(day),
        *_each_crew(day),
        *_young(day),
        *_rounds(day),
        *_each_person(day),
        *_units(day),
    )
    counted = tuple(zip(VALUE_KEYS, count_day(day), strict=True))
    claims = list_false_claims(
        counted, _figures(answer.bound), least=LEAST, is_best=answer.status is SolveStatus.BEST
    )
    return Judgement(broken, counted, _figures(answer.objective), () if broken else claims)


def _figures(value: Value | None) -> Figures:
    return () if value is None else tuple(zip(VALUE_KEYS, astuple(value), strict=True))


def _unknown(document: DayDocument, answer: DayAnswer) -> Iterator[Broken]:
    people = {person.id for person in document.people}
    tasks = {task.id for task in document.tasks}
    if answer.problem != document.name:
        text = f"The answer is for “{answer.problem}”, the problem is “{document.name}”."
        yield Broken("problem", text)
    for what, rows, known in (
        ("person", answer.assignments, people),
        ("task", answer.units, tasks),
    ):
        for name, row in rows:
            if name not in known:
                yield Broken("names", f"The {what} “{name}” is not in the problem.")
            if len(row) != document.rounds:
                text = f"“{name}” has {len(row)} rounds, the day has {document.rounds}."
                yield Broken("rounds", text)
    for name, row in answer.assignments:
        for task in sorted({task for task in row if task is not None} - tasks):
            yield Broken("names", f"“{name}” has the task “{task}”, which is not in the problem.")


def _each_cell(day: SpreadDay) -> Iterator[Broken]:
    for name, row in day.doing.items():
        person = day.people[name]
        for round_, task in enumerate(row):
            if task is None:
                continue
            where = f"Round {round_ + 1}: {name} has “{task.id}”"
            if not person.present[round_]:
                yield Broken("present", f"{where} and is not there.")
            if person.age < task.minimum_age:
                yield Broken("age", f"{where}, is {person.age}, and it is from {task.minimum_age}.")
            if task.heavy and "no lifting" in person.restrictions:
                yield Broken("restriction", f"{where}, which is heavy, and asked for no lifting.")
            if task.kneeling and "no kneeling" in person.restrictions:
                yield Broken("restriction", f"{where}, kneeling, and asked for no kneeling.")


def _each_crew(day: SpreadDay) -> Iterator[Broken]:
    for (round_, name), crew in day.crews.items():
        task = day.tasks[name]
        where = f"Round {round_ + 1}, “{name}”"
        if not task.crew_min <= len(crew) <= task.crew_max:
            text = f"{where}: {len(crew)} people, asked for {task.crew_min} to {task.crew_max}."
            yield Broken("crew size", text)
        lead = day.document.rules.lead_skill
        if not any(day.holds(person, lead) for person in crew):
            yield Broken("lead", f"{where}: nobody holds “{lead}” in date.")
        for skill, count in task.skills:
            able = sum(day.holds(person, skill) for person in crew)
            if able < count:
                yield Broken("skill", f"{where}: {able} hold “{skill}” in date, {count} asked for.")
        yield from _class_parts(day, where, crew)


def _class_parts(day: SpreadDay, where: str, crew: Crew) -> Iterator[Broken]:
    least = day.document.rules.smallest_class_part
    for group in sorted({person.group for person in crew if person.group is not None}):
        pupils = sum(person.group == group for person in crew)
        if pupils < least:
            text = f"{where}: {pupils} pupils of {group} together, at least {least} asked for."
            yield Broken("class part", text)
        if not any(person.staff_of == group for person in crew):
            yield Broken("class staff", f"{where}: pupils of {group} without its staff.")


def _young(day: SpreadDay) -> Iterator[Broken]:
    rules = day.document.rules
    zones: dict[tuple[int, int], Crew] = defaultdict(list)
    for (round_, name), crew in day.crews.items():
        zones[round_, day.tasks[name].zone] += crew
    for (round_, name), crew in day.crews.items():
        young = [person for person in crew if person.age < GROWN]
        if not young:
            continue
        where = f"Round {round_ + 1}, “{name}”"
        shares = sum(rules.supervision_weights[band(person.age)] for person in young)
        if _checked(crew) * rules.supervision_denominator < shares:
            text = f"{where}: {_checked(crew)} checked adults for {len(young)} young people."
            yield Broken("supervision", text)
        if len(crew) < CREW_WITH_YOUNG:
            yield Broken("young crew", f"{where}: {len(crew)} people, one of them under 18.")
        zone = day.tasks[name].zone
        if _checked(zones[round_, zone]) < rules.checked_adults_per_zone:
            text = f"{where}: {_checked(zones[round_, zone])} checked adults in zone {zone}."
            yield Broken("zone", text)
        together = {person.id for person in crew}
        for person in young:
            if person.age < CHILD and person.guardian not in (None, *together):
                text = f"{where}: {person.id} without the guardian {person.guardian}."
                yield Broken("guardian", text)


def _checked(crew: Crew) -> int:
    return sum(person.checked and person.age >= GROWN for person in crew)


def _rounds(day: SpreadDay) -> Iterator[Broken]:
    document = day.document
    on_hand = dict(document.tools)
    for round_ in range(document.rounds):
        used: dict[str, int] = defaultdict(int)
        for (at, name), _ in day.crews.items():
            for tool, count in day.tasks[name].tools if at == round_ else ():
                used[tool] += count
        for tool, count in sorted(used.items()):
            there = on_hand.get(tool, 0)
            if count > there:
                text = f"Round {round_ + 1}: {count} of “{tool}” in use, {there} on hand."
                yield Broken("tools", text)
        skill = document.rules.first_aid_skill
        free = [
            person
            for person in document.people
            if person.present[round_]
            and day.holds(person, skill)
            and not _is_hard(day.doing[person.id][round_])
        ]
        if not free:
            text = f"Round {round_ + 1}: nobody there with “{skill}” is free of hard work."
            yield Broken("first aid", text)


def _is_hard(task: TaskEntry | None) -> bool:
    return task is not None and (task.heavy or task.powered_minutes_per_round > 0)


def _each_person(day: SpreadDay) -> Iterator[Broken]:
    rules = day.document.rules
    for name, row in day.doing.items():
        person = day.people[name]
        longest = _longest([task is not None and task.heavy for task in row])
        if longest > rules.heavy_rounds_in_a_row:
            yield Broken("heavy", f"{name} has {longest} heavy rounds in a row.")
        longest = _longest([task is not None for task in row])
        most = rules.rounds_before_rest[band(person.age)]
        if longest > most:
            yield Broken("rest", f"{name} works {longest} rounds in a row, at most {most} may be.")
        kneeling = sum(task is not None and task.kneeling for task in row)
        if "no long kneeling" in person.restrictions and kneeling > rules.long_kneeling_rounds:
            yield Broken("kneeling", f"{name} kneels for {kneeling} rounds and asked not to.")
        minutes = sum(
            task.powered_minutes_per_round
            for task in row
            if task is not None and any(day.holds(person, skill) for skill, _ in task.skills)
        )
        if minutes > rules.powered_minutes_per_person:
            yield Broken("powered", f"{name} has {minutes} minutes with powered tools.")


def _longest(marks: list[bool]) -> int:
    """Return the length of the longest run of true."""
    longest = run = 0
    for mark in marks:
        run = run + 1 if mark else 0
        longest = max(longest, run)
    return longest


def _units(day: SpreadDay) -> Iterator[Broken]:
    for name, done in day.units.items():
        task = day.tasks[name]
        if sum(done) > task.units or min(done) < 0:
            text = (
                f"“{name}”: {sum(done)} units done of {task.units}, at least {min(done)} a round."
            )
            yield Broken("units", text)
        put_in = finished = 0
        for round_, units in enumerate(done):
            put_in += _points(day, day.crews.get((round_, name), []))
            finished += units
            if finished * task.points_per_unit > put_in:
                text = f"“{name}”: {finished} units by the end of round {round_ + 1} with {put_in} "
                yield Broken("points", text + "points put in.")
                break
        if task.closes is not None:
            yield from _closing(name, done, task.closes, day.units[task.closes])


def _points(day: SpreadDay, crew: Crew) -> int:
    return sum(day.document.rules.points_per_round[band(person.age)] for person in crew)


def _closing(name: str, done: list[int], opener: str, opened: list[int]) -> Iterator[Broken]:
    for round_ in range(len(done)):
        closed, earlier = sum(done[: round_ + 1]), sum(opened[:round_])
        if closed > earlier:
            text = f"“{name}”: {closed} closed by the end of round {round_ + 1}, {earlier} opened."
            yield Broken("closing ahead", text)
            break
    if sum(done) != sum(opened):
        text = f"“{opener}” opens {sum(opened)}, “{name}” closes {sum(done)}."
        yield Broken("closing", text)
