"""Reads everything a session's roster is made from.

People come as the domain wants them: with the age they have on the day, what
they hold in date, and no more of their name than may be printed.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from orchard.queries.tasks import KeptTask
from scheduling.domain import problem as roster_problem
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.people import (
    GroupId,
    PersonId,
    Restriction,
    TaskId,
    age_on,
    pupil_id,
)
from scheduling.domain.policy import Policy
from scheduling.domain.rule_set import RuleSet
from scheduling.models import (
    Roster,
    RosterLock,
    RosterPlace,
    Session,
)
from scheduling.queries.background_checks import is_any_current
from scheduling.queries.class_counts import ClassCounts, load_class_counts
from scheduling.queries.company import add_company
from scheduling.queries.consents import load_versions_that_hold
from scheduling.queries.names import printed_name
from scheduling.queries.people_on_file import PersonOnFile, load_people_on_file
from scheduling.queries.session_frames import SessionFrame, SiteFrame, load_frame, read_frame
from scheduling.queries.session_rows import day_of, get_session_row, load_coming
from scheduling.queries.shares import add_past
from scheduling.queries.weather import judge_forecast


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
        with_past: Whether people come with their season so far and with whom they would be
            in a crew, which no rule asks for.

    Raises:
        SessionUnknown: If there is no such session.
    """
    session = get_session_row(session_id)
    coming = load_coming(session_id)
    group_ids = {*coming.groups, *also_groups} - set(without_groups)
    # Who asks about many sessions has read the open tasks; all else is kept while it stands.
    frame = (
        load_frame(session) if open_tasks is None else read_frame(session, open_tasks=open_tasks)
    )
    policy = frame.rules.choose({*group_ids, *policy_groups}, instead=instead)
    problem = _build_problem(session, frame, policy, {*coming.people, *also_people}, group_ids)
    people = problem.people
    if with_past:
        people = add_company(add_past(session, people))
    return replace(
        problem,
        people=people,
        published=_published(session),
        locks=_locks(session, people, problem.tasks),
    )


def load_admission_problem(
    session: Session, *, also_people: Iterable[int] = (), also_groups: Iterable[int] = ()
) -> roster_problem.RosterProblem:
    """Return the problem as the rules ask about it at sign-up.

    Hundreds may ask at once, and no rule asks what was published, is fixed or was done so
    far, so these are not read.

    Args:
        session: With its season and site.
        also_people: Who asks to come.
        also_groups: Classes that ask to come.
    """
    coming = load_coming(session.pk)
    group_ids = {*coming.groups, *also_groups}
    frame = load_frame(session)
    return _build_problem(
        session, frame, frame.rules.choose(group_ids), {*coming.people, *also_people}, group_ids
    )


def load_outlook_problem(session: Session, site: SiteFrame) -> roster_problem.RosterProblem:
    """Return a session's people and its clock, without any work, as a season asks about it.

    Args:
        session: With its season and site.
        site: What the site's sessions share, read once for all of them.
    """
    coming = load_coming(session.pk)
    frame = read_frame(session, open_tasks=(), site=site)
    policy = frame.rules.choose(coming.groups)
    return _build_problem(session, frame, policy, set(coming.people), set(coming.groups))


def _build_problem(
    session: Session,
    frame: SessionFrame,
    policy: Policy,
    people_ids: set[int],
    group_ids: set[int],
) -> roster_problem.RosterProblem:
    groups = load_class_counts(session.pk, group_ids)
    people = _people(sorted(people_ids), groups, _Day(day_of(session), session.rounds, policy))
    facts, round_minutes = _day_and_round(session, frame.facts, policy, people)
    site = session.season.site
    return roster_problem.RosterProblem(
        name=session.code,
        on=day_of(session),
        rounds=session.rounds,
        round_minutes=round_minutes,
        people=people,
        groups=tuple(roster_problem.Group(GroupId(group.group), group.name) for group in groups),
        tasks=frame.tasks,
        tools=frame.store.tools,
        locates=frame.locates,
        policy=policy,
        consent_version=site.consent_version,
        facts=facts,
        older_consent_versions=_older_consents(site.pk, site.consent_version, people),
    )


def _older_consents(
    site_id: int, in_use: str, people: tuple[roster_problem.Person, ...]
) -> tuple[str, ...]:
    """Return the older versions that still hold; asked for only where somebody signed one."""
    signed = {consent.version for person in people for consent in person.consents}
    return load_versions_that_hold(site_id, in_use)[1:] if signed - {in_use} else ()


def _day_and_round(
    session: Session,
    facts: DayFacts,
    policy: Policy,
    people: tuple[roster_problem.Person, ...],
) -> tuple[DayFacts, int]:
    """Return what is known of the day, and a round's minutes as the weather leaves them.

    Heat shortens rounds, and what a round loses its break gains. On a day that
    stops a rule refuses the work instead; where it stops for young people alone,
    the adults' rounds hold.
    """
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
    rows = load_people_on_file({*person_ids, *staff_of})
    known = [_person(row, staff_of.get(row.id), day) for row in rows]
    pupils = [pupil for group in groups for pupil in _pupils(group, day.rounds)]
    return tuple(known + pupils)


def _person(row: PersonOnFile, staff_of: GroupId | None, day: _Day) -> roster_problem.Person:
    on = day.on
    age = age_on(row.birth_year, row.birth_month, on)
    return roster_problem.Person(
        id=PersonId(row.id),
        name=printed_name(row, age),
        age=age,
        present=(True,) * day.rounds,
        checked=is_any_current(row.checks, day.policy, on),
        skills=tuple(roster_problem.SkillHeld(*held) for held in row.skills),
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
            for consent in row.consents
            if consent.withdrawn_on is None or on < consent.withdrawn_on
        ),
        experience=row.experience,
        preferences=tuple(sorted((kind, int(worth)) for kind, worth in row.preferences.items())),
        wished_skills=tuple(sorted(row.wished_skills)),
        heavy_liking=row.heavy_liking,
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
