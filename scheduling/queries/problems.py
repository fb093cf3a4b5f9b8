"""Reads everything a session's roster is made from.

People come as the domain wants them: with the age they have on the day, what
they hold in date, and no more of their name than may be printed.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from orchard.domain.plan import PlannedTask, Store
from orchard.queries.locates import load_locate_days
from orchard.queries.plans import load_store
from orchard.queries.tasks import KeptTask, load_open_tasks
from scheduling.domain import problem as roster_problem
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.people import (
    ADULT_AGE,
    GroupId,
    PersonId,
    Restriction,
    TaskId,
    age_on,
    pupil_id,
)
from scheduling.domain.points import POINTS_PER_ADULT_MIN
from scheduling.domain.policy import Policy
from scheduling.domain.rule_set import RuleSet
from scheduling.models import (
    Person,
    PlannedWork,
    Roster,
    RosterLock,
    RosterPlace,
    Session,
)
from scheduling.queries.background_checks import is_checked
from scheduling.queries.class_counts import ClassCounts, load_class_counts
from scheduling.queries.consents import load_versions_that_hold
from scheduling.queries.day_facts import load_day_facts
from scheduling.queries.rule_sets import load_policy
from scheduling.queries.session_rows import day_of, get_session_row, load_coming
from scheduling.queries.shares import add_past
from scheduling.queries.weather import judge_forecast

SPARE_TASKS = 6  # tasks of later sessions offered so that nobody stands idle


def load_roster_problem(
    session_id: int,
    *,
    also_people: Iterable[int] = (),
    also_groups: Iterable[int] = (),
    without_groups: Iterable[int] = (),
    policy_groups: Iterable[int] = (),
    instead: RuleSet | None = None,
    open_tasks: tuple[KeptTask, ...] | None = None,
    with_past: bool = True,
) -> roster_problem.RosterProblem:
    """Return the session's roster problem: work given to it, and everybody confirmed.

    Args:
        session_id: The session.
        also_people: People to add who are not confirmed yet (to try a sign-up).
        also_groups: Classes to add who are not confirmed yet.
        without_groups: Classes to leave out though they are confirmed.
        policy_groups: Classes whose schools' rule sets hold though they are left out.
        instead: A rule set to try in place of the adopted one of the same code.
        open_tasks: The site's open tasks, from one who asks about many sessions.
        with_past: Whether people come with their season so far, which no rule asks for.

    Raises:
        SessionUnknown: If there is no such session.
    """
    session = get_session_row(session_id)
    coming = load_coming(session_id)
    people_ids = sorted({*coming.people, *also_people})
    group_ids = {*coming.groups, *also_groups} - set(without_groups)
    groups = load_class_counts(session_id, group_ids)
    on = day_of(session)
    site = session.season.site
    store = load_store(site.pk)
    policy = load_policy(site.pk, on=on, groups={*group_ids, *policy_groups}, instead=instead)
    people = _people(people_ids, groups, _Day(on, session.rounds, policy))
    people = add_past(session, people) if with_past else people
    facts, round_minutes = _day_and_round(session, policy, people)
    tasks = _crew_tasks(session, store, open_tasks)
    return roster_problem.RosterProblem(
        name=session.code,
        on=on,
        rounds=session.rounds,
        round_minutes=round_minutes,
        people=people,
        groups=tuple(roster_problem.Group(GroupId(group.group), group.name) for group in groups),
        tasks=tasks,
        tools=store.tools,
        locates=_locates(site.pk),
        policy=policy,
        consent_version=site.consent_version,
        published=_published(session),
        locks=_locks(session, people, tasks),
        facts=facts,
        older_consent_versions=_older_consents(site.pk, site.consent_version, people),
    )


def _older_consents(
    site_id: int, in_use: str, people: tuple[roster_problem.Person, ...]
) -> tuple[str, ...]:
    """Return the older versions that still hold; asked for only where somebody signed one."""
    signed = {consent.version for person in people for consent in person.consents}
    return load_versions_that_hold(site_id, in_use)[1:] if signed - {in_use} else ()


def _locates(site_id: int) -> tuple[roster_problem.Locate, ...]:
    return tuple(
        roster_problem.Locate(
            number=locate.number,
            first_day=locate.first_day,
            last_day=locate.last_day,
            areas=locate.areas,
            marked=locate.marked,
        )
        for locate in load_locate_days(site_id)
    )


def _day_and_round(
    session: Session, policy: Policy, people: tuple[roster_problem.Person, ...]
) -> tuple[DayFacts, int]:
    """Return what is known of the day, and a round's minutes as the weather leaves them.

    Heat shortens rounds, and what a round loses its break gains. On a day that
    stops a rule refuses the work instead; where it stops for young people alone,
    the adults' rounds hold.
    """
    facts = load_day_facts(session)
    for has_young in sorted({any(person.is_young for person in people), False}, reverse=True):
        weather = judge_forecast(session, facts.forecast, policy, has_young=has_young)
        if weather is not None and weather.round_minutes:
            return replace(facts, break_minutes=weather.break_minutes), weather.round_minutes
    return facts, session.round_minutes


@dataclass(frozen=True, slots=True)
class _Day:
    """What decides how somebody stands on the day."""

    on: date
    rounds: int
    policy: Policy


def _people(
    person_ids: list[int], groups: tuple[ClassCounts, ...], day: _Day
) -> tuple[roster_problem.Person, ...]:
    staff_of = {person_id: GroupId(each.group) for each in groups for person_id in each.staff}
    rows = (
        Person.objects.filter(pk__in={*person_ids, *staff_of})
        .prefetch_related("skills", "checks", "consents")
        .order_by("pk")
    )
    known = [_person(row, staff_of.get(row.pk), day) for row in rows]
    pupils = [pupil for group in groups for pupil in _pupils(group, day.rounds)]
    return tuple(known + pupils)


def printed_name(row: Person, age: int) -> str:
    """Return the name that may be printed: young people by first name alone."""
    if age < ADULT_AGE or not row.family_name:
        return row.first_name
    return f"{row.first_name} {row.family_name[0]}."


def _person(row: Person, staff_of: GroupId | None, day: _Day) -> roster_problem.Person:
    on = day.on
    age = age_on(row.birth_year, row.birth_month, on)
    return roster_problem.Person(
        id=PersonId(row.pk),
        name=printed_name(row, age),
        age=age,
        present=(True,) * day.rounds,
        checked=is_checked(row, day.policy, on),
        skills=tuple(
            roster_problem.SkillHeld(held.skill, held.last_day) for held in row.skills.all()
        ),
        restrictions=tuple(Restriction(value) for value in sorted(row.restrictions)),
        guardian=PersonId(row.guardian_id) if row.guardian_id else None,
        staff_of=staff_of,
        consents=tuple(
            roster_problem.Consent(
                version=consent.version,
                first_day=consent.first_day,
                last_day=consent.last_day,
                kinds=tuple(sorted(consent.kinds)),
            )
            for consent in row.consents.all()
            if consent.withdrawn_on is None or on < consent.withdrawn_on
        ),
        experience=row.experience,
        preferences=tuple(sorted((kind, int(worth)) for kind, worth in row.preferences.items())),
        wished_skills=tuple(sorted(row.wished_skills)),
    )


def _pupils(group: ClassCounts, rounds: int) -> list[roster_problem.Person]:
    ages = [age for age, count in group.pupils_by_age for _ in range(count)]
    return [
        roster_problem.Person(
            id=pupil_id(GroupId(group.group), number),
            name=f"{group.name} {number}",
            age=age,
            present=(True,) * rounds,
            group=GroupId(group.group),
        )
        for number, age in enumerate(ages, start=1)
    ]


def _published(session: Session) -> tuple[roster_problem.Fixed, ...]:
    """Return what people were told by the roster published last, so that little changes."""
    places = RosterPlace.objects.filter(
        roster__session=session, roster__state=Roster.State.PUBLISHED
    )
    return tuple(sorted((place.member_id, place.round, TaskId(place.task_id)) for place in places))


def _locks(
    session: Session,
    people: tuple[roster_problem.Person, ...],
    tasks: tuple[roster_problem.CrewTask, ...],
) -> tuple[roster_problem.Fixed, ...]:
    """Return what the coordinator fixed, so far as the people, tasks and rounds are still there."""
    known, offered = {person.id for person in people}, {task.id for task in tasks}
    locks = RosterLock.objects.filter(session=session, round__lt=session.rounds)
    return tuple(
        sorted(
            (
                (lock.member_id, lock.round, None if lock.task_id is None else TaskId(lock.task_id))
                for lock in locks
                if lock.member_id in known and (lock.task_id is None or lock.task_id in offered)
            ),
            key=lambda lock: lock[:2],
        )
    )


def _crew_tasks(
    session: Session, store: Store, known: tuple[KeptTask, ...] | None
) -> tuple[roster_problem.CrewTask, ...]:
    """Return the day's tasks: what the season plan gave, then a few that could come early."""
    kg_per_litre = {item.code: item.kg_per_m3 / 1000 for item in store.materials}
    planned = {
        work.task_id: work.units
        for work in PlannedWork.objects.filter(session=session, season_plan__current=True)
    }
    open_tasks = load_open_tasks(session.season.site_id) if known is None else known
    open_by_key = {kept.task.key: kept for kept in open_tasks}
    required = [kept for kept in open_tasks if kept.id in planned]
    spare = [kept for kept in open_tasks if _is_spare(kept, planned, open_by_key, day_of(session))]
    return tuple(
        _crew_task(
            kept, min(planned[kept.id], kept.units_open), open_by_key, kg_per_litre, required=True
        )
        for kept in required
    ) + tuple(
        _crew_task(kept, kept.units_open, open_by_key, kg_per_litre, required=False)
        for kept in spare[:SPARE_TASKS]
    )


def _is_spare(
    kept: KeptTask, planned: dict[int, int], open_by_key: dict[str, KeptTask], on: date
) -> bool:
    """Say whether a task may be done early: ready, in its window, needing nothing delivered."""
    task = kept.task
    in_window = not task.windows or any(window.holds(on) for window in task.windows)
    ready = all(after.key not in open_by_key for after in task.after)
    return (
        kept.id not in planned
        and in_window
        and ready
        and not task.materials
        and not (task.opens_ground or task.digs)
        and not task.closes
    )


def _waits_for(
    task: PlannedTask, open_by_key: dict[str, KeptTask]
) -> tuple[roster_problem.After, ...]:
    """Return the unfinished work this task follows; close-out has its own condition."""
    before = [
        open_by_key[after.key]
        for after in task.after
        if after.key in open_by_key and after.key != task.closes
    ]
    return tuple(
        roster_problem.After(TaskId(kept.id), kept.task.title, kept.units_open) for kept in before
    )


def _crew_task(
    kept: KeptTask,
    units: int,
    open_by_key: dict[str, KeptTask],
    kg_per_litre: dict[str, float],
    *,
    required: bool,
) -> roster_problem.CrewTask:
    task = kept.task
    return roster_problem.CrewTask(
        id=TaskId(kept.id),
        key=task.key,
        title=task.title,
        kind=task.kind,
        zone=task.zone,
        required=required,
        units=units,
        unit=task.unit,
        points_per_unit=max(1, round(task.effort.mean_min * POINTS_PER_ADULT_MIN)),
        value_per_unit=task.value_per_unit,
        crew_least=task.crew_least,
        crew_most=task.crew_most,
        skills=task.skills,
        tools=task.tools,
        minimum_age=task.minimum_age,
        heavy=task.heavy,
        kneeling=task.kneeling,
        opens_ground=task.opens_ground,
        digs=task.digs,
        # Known even where its boring is not of this session, so that the rule book can refuse it.
        closes=TaskId(open_by_key[task.closes].id) if task.closes in open_by_key else None,
        after=_waits_for(task, open_by_key),
        load_kg_per_litre=max((kg_per_litre[need.material] for need in task.materials), default=0),
    )
