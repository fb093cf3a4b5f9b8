"""Reads a kept roster: as the domain's value, with its findings, and ready for paper."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256
from zoneinfo import ZoneInfo

from orchard.queries.plans import load_place, load_pockets, load_store
from orchard.queries.roles import load_site_leads
from orchard.queries.tasks import load_tasks_by_id
from orchard.queries.units import load_site_system
from scheduling.domain.errors import RosterUnknown
from scheduling.domain.judgement import judge_roster
from scheduling.domain.people import TaskId, age_on
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.published import (
    DayTask,
    EmergencyFacts,
    PublishedRoster,
    RosterPerson,
    SessionFacts,
    SiteFacts,
)
from scheduling.domain.roster import Assignment, Roster, TaskUnits
from scheduling.domain.rule import Finding
from scheduling.domain.search_progress import digest_problem
from scheduling.domain.weather import WeatherVerdict
from scheduling.models import Person as PersonRow
from scheduling.models import Roster as RosterRow
from scheduling.models import SchoolGroup, Session
from scheduling.queries.locks import LockLine, load_locks
from scheduling.queries.names import printed_name
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.session_rows import clock_of
from scheduling.queries.waivers import JudgedFinding, judge_findings
from scheduling.queries.weather import judge_forecast


@dataclass(frozen=True, slots=True)
class SessionRoster:
    """A roster as the session page shows it."""

    id: int
    version: int
    state: str
    status: str
    seconds: float
    value: dict[str, int]
    bound: dict[str, int]
    unfilled: tuple[str, ...]
    findings: tuple[Finding, ...]
    printed: PublishedRoster
    judged: tuple[JudgedFinding, ...] = ()
    problem_digest: str = ""  # of the day as it is now, to know a search of another one
    locks: tuple[LockLine, ...] = ()

    @property
    def blocked(self) -> bool:
        """Whether a finding that nobody waived keeps it from being published."""
        return any(each.blocks for each in self.judged)


def find_current_roster(session_id: int) -> SessionRoster | None:
    """Return the newest roster of a session with its findings, or None if there is none."""
    row = _current(session_id)
    if row is None:
        return None
    problem, roster = load_roster_problem(session_id), load_roster(row.pk)
    findings = _judge(problem, roster)
    return SessionRoster(
        id=row.pk,
        version=row.version,
        state=row.state,
        status=row.status,
        seconds=row.seconds,
        value=row.value,
        bound=row.bound,
        unfilled=tuple(row.unfilled),
        findings=findings,
        printed=_print(row, problem, roster),
        judged=judge_findings(session_id, findings),
        problem_digest=digest_problem(problem),
        locks=load_locks(session_id, problem),
    )


_JUDGED: dict[str, tuple[Finding, ...]] = {}
MOST_JUDGED = 40  # rosters a process remembers the findings of; some kilobytes each


def _judge(problem: RosterProblem, roster: Roster) -> tuple[Finding, ...]:
    """Return the findings with what clears them, remembered by each process while all stands.

    Looking for what clears a finding takes up to a second, and a page is looked at often.
    """
    mark = sha256(repr((problem, roster)).encode()).hexdigest()
    if mark not in _JUDGED:
        if len(_JUDGED) >= MOST_JUDGED:
            _JUDGED.clear()
        _JUDGED[mark] = judge_roster(problem, roster, remedies=True)
    return _JUDGED[mark]


def find_current_roster_value(session_id: int) -> Roster | None:
    """Return the newest roster of a session as the domain's value, or None."""
    row = _current(session_id)
    return load_roster(row.pk) if row else None


def find_current_id(session_id: int) -> int | None:
    """Return the number of the newest roster of a session, or None."""
    row = _current(session_id)
    return row.pk if row else None


def load_current_findings(session_id: int) -> tuple[Finding, ...]:
    """Return the findings on the newest roster of a session; none without a roster."""
    row = _current(session_id)
    if row is None:
        return ()
    return judge_roster(load_roster_problem(session_id), load_roster(row.pk))


def load_roster(roster_id: int) -> Roster:
    """Return a kept roster as the domain's value, sorted."""
    row = RosterRow.objects.get(pk=roster_id)
    return Roster(
        assignments=tuple(
            sorted(
                (
                    Assignment(place.member_id, place.round, TaskId(place.task_id))
                    for place in row.places.all()
                ),
                key=lambda a: (a.person, a.round),
            )
        ),
        units=tuple(
            sorted(
                (TaskUnits(TaskId(u.task_id), u.round, u.units) for u in row.units.all()),
                key=lambda u: (u.task, u.round),
            )
        ),
    )


def load_printed(roster_id: int) -> PublishedRoster:
    """Return a roster with everything its papers and invites say.

    A draft can be printed too, to be looked at; its time is then that of making.

    Raises:
        RosterUnknown: If there is no such roster.
    """
    row = RosterRow.objects.select_related("session__season__site").filter(pk=roster_id).first()
    if row is None:
        raise RosterUnknown(f"There is no roster number {roster_id}. Propose one first.")
    return _print(row, load_roster_problem(row.session_id), load_roster(roster_id))


def _print(row: RosterRow, problem: RosterProblem, roster: Roster) -> PublishedRoster:
    session = row.session
    site = session.season.site
    units = _units_planned(problem, roster)
    store = load_store(site.pk)
    return PublishedRoster(
        site=load_site_facts(session),
        session=load_session_facts(session, problem),
        place=load_place(site.pk),
        pockets=load_pockets(site.pk),
        people=_printed_people(site.pk, problem),
        tasks=tuple(
            DayTask(TaskId(kept.id), units[TaskId(kept.id)], kept.task)
            for kept in load_tasks_by_id(units, open_on=problem.on)
        ),
        tools=store.tools,
        materials=store.materials,
        roster=roster,
        version=row.version,
        published_at=_local(row.published_at or row.made_at, session),
        is_draft=row.published_at is None,
        weather=find_weather(session, problem),
        system=load_site_system(site.pk),
    )


def load_site_facts(session: Session) -> SiteFacts:
    """Return what papers and invites say about the session's site."""
    site = session.season.site
    return SiteFacts(
        code=site.slug,
        name=site.name,
        town=site.town,
        organiser_name=site.organiser_name,
        organiser_email=site.organiser_email,
        time_zone=site.time_zone,
        emergency=EmergencyFacts(
            entrance=site.entrance,
            latitude=site.peg_latitude,
            longitude=site.peg_longitude,
            number=site.emergency_number,
            nearest_emergency_department=site.nearest_emergency_department,
            muster_point=site.muster_point,
            shelter=site.shelter,
        ),
    )


def load_session_facts(session: Session, problem: RosterProblem) -> SessionFacts:
    """Return what papers and invites say about the session; its purpose is its work."""
    clock = clock_of(session)
    # A round that heat shortens leaves its minutes to the break; the day begins and ends as told.
    shorter = clock.round_min - problem.round_minutes
    worked = replace(clock, round_min=problem.round_minutes, break_min=clock.break_min + shorter)
    titles = [task.title for task in problem.tasks if task.required]
    return SessionFacts(
        code=session.code,
        title=session.title,
        starts_at=_local(session.starts_at, session),
        ends_at=clock.ends_at(),
        rounds=worked.round_times(),
        meeting_point=session.meeting_point,
        bring=session.bring,
        purpose="; ".join(titles),
        season=session.season.code,
    )


def find_weather(session: Session, problem: RosterProblem) -> WeatherVerdict | None:
    """Return what the session's weather sheet makes of the day, or None without a sheet."""
    forecast = problem.facts.forecast if problem.facts else None
    has_young = any(person.is_young for person in problem.people)
    return judge_forecast(session, forecast, problem.policy, has_young=has_young)


def _current(session_id: int) -> RosterRow | None:
    return (
        RosterRow.objects.filter(session_id=session_id)
        .select_related("session__season__site")
        .exclude(state=RosterRow.State.REPLACED)
        .order_by("version")
        .last()
    )


def _units_planned(problem: RosterProblem, roster: Roster) -> dict[TaskId, int]:
    """Return the units each task of the day is to reach: what the roster finishes."""
    at_work = {assignment.task for assignment in roster.assignments}
    units = {task.id: 0 for task in problem.tasks if task.id in at_work}
    for done in roster.units:
        units[done.task] = units.get(done.task, 0) + done.units
    return units


def _printed_people(site_id: int, problem: RosterProblem) -> tuple[RosterPerson, ...]:
    rows = {
        row.pk: row
        for row in PersonRow.objects.filter(
            pk__in=[person.id for person in problem.people if person.id > 0]
        ).select_related("user", "guardian__user")
    }
    groups = {
        group.pk: group
        for group in SchoolGroup.objects.filter(
            pk__in=[group.id for group in problem.groups]
        ).select_related("liaison")
    }
    lead = find_session_lead(site_id, rows)
    return tuple(
        _printed_pupil(person, groups[person.group])
        if person.group is not None
        else _printed_person(person, rows[person.id], problem, groups, leads=person.id == lead)
        for person in problem.people
    )


def find_session_lead(site_id: int, rows: dict[int, PersonRow]) -> int | None:
    """Return who leads the session: of those coming, the first who may lead one on this site."""
    by_account = {row.user_id: row.pk for row in rows.values() if row.user_id is not None}
    return next((by_account[a] for a in load_site_leads(site_id) if a in by_account), None)


def _printed_pupil(person: Person, group: SchoolGroup) -> RosterPerson:
    return RosterPerson(
        id=person.id,
        name=person.name,
        is_young=person.is_young,
        roles=("pupil",),
        group_name=group.name,
        mail_to=group.liaison.email,
        mail_name=group.school,
    )


def _printed_person(
    person: Person,
    row: PersonRow,
    problem: RosterProblem,
    groups: dict[int, SchoolGroup],
    *,
    leads: bool,
) -> RosterPerson:
    reader = row.guardian if person.is_young and row.guardian else row
    staff_of = groups.get(person.staff_of) if person.staff_of is not None else None
    return RosterPerson(
        id=person.id,
        name=person.name,
        is_young=person.is_young,
        roles=(*(("session lead",) if leads else ()), *_roles(person, problem)),
        guardian_name=_name_on(row.guardian, problem.on) if row.guardian and reader != row else "",
        group_name=staff_of.name if staff_of else "",
        mail_to=reader.user.email if reader.user else "",
        mail_name=_name_on(reader, problem.on),
    )


def _name_on(row: PersonRow, on: date) -> str:
    """Return a name as it may be printed on a day: a guardian's in full would tell the child's."""
    return printed_name(row, age_on(row.birth_year, row.birth_month, on))


def _roles(person: Person, problem: RosterProblem) -> tuple[str, ...]:
    on = problem.on
    held = (
        ("crew lead", person.holds(problem.lead_skill, on) and not person.is_young),
        ("first aider", person.holds(problem.first_aid_skill, on)),
        ("supervising adult", person.checked and not person.is_young),
        ("class staff", person.staff_of is not None),
    )
    return tuple(role for role, holds in held if holds)


def _local(at: datetime, session: Session) -> datetime:
    return at.astimezone(ZoneInfo(session.season.site.time_zone))
