"""What a change of the rule book would do to the sessions to come, before it is saved.

Nothing is kept: each session is judged twice, by the figures in force and by
the changed ones, with the same eyes as the roster page and sign-up.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from orchard.queries.tasks import KeptTask, load_open_tasks
from scheduling.domain.admission import check_admission
from scheduling.domain.judgement import judge_roster, sort_gravest
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rule_set import RuleSet
from scheduling.models import Session
from scheduling.queries.people import get_signing_name
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster_value
from scheduling.queries.rule_sets import get_version
from scheduling.queries.session_rows import day_of
from scheduling.queries.waivers import judge_findings
from scheduling.services.rule_sets import build_revision, find_newest_number


@dataclass(frozen=True, slots=True)
class SessionChange:
    """One coming session before and after. `came` and `gone` are findings that differ."""

    code: str
    season_code: str
    title: str
    on: date
    blocked_before: bool
    blocked_after: bool
    came: tuple[Finding, ...]
    gone: tuple[Finding, ...]

    @property
    def verdict_changes(self) -> bool:
        """Whether what blocks it is other than before."""
        blocks = [f for f in (*self.came, *self.gone) if f.severity is Severity.BLOCKS]
        return self.blocked_before != self.blocked_after or bool(blocks)


@dataclass(frozen=True, slots=True)
class RevisionPreview:
    """The set as it would be, and each coming session it is asked about."""

    rules: RuleSet
    sessions: tuple[SessionChange, ...]

    @property
    def changed(self) -> tuple[SessionChange, ...]:
        """The sessions with any finding that comes or goes."""
        return tuple(each for each in self.sessions if each.came or each.gone)


def preview_revision(
    *,
    site_id: int,
    version_id: int,
    changes: Mapping[str, str],
    by: int,
    at: datetime,
    on: date,
) -> RevisionPreview:
    """Return what saving these changes would do to each session to come; nothing is kept.

    Raises:
        RuleSetUnknown: If the site knows no such version.
        RuleSetRefused: If nothing changes or a newer version was made meanwhile.
        FigureRefused: If a value is no such figure.
    """
    kept = get_version(version_id, site_id)
    revised = build_revision(
        kept,
        changes,
        name=get_signing_name(by, site_id),
        on=on,
        newest=find_newest_number(site_id, kept.code),
    )
    sessions = (
        Session.objects.filter(season__site_id=site_id, starts_at__gt=at)
        .exclude(state__in=(Session.State.CALLED_OFF, Session.State.DONE))
        .select_related("season__site")
        .order_by("starts_at", "pk")
    )
    tasks = load_open_tasks(site_id)
    return RevisionPreview(revised, tuple(_change(session, revised, tasks) for session in sessions))


def _change(session: Session, revised: RuleSet, tasks: tuple[KeptTask, ...]) -> SessionChange:
    roster = find_current_roster_value(session.pk)
    now = load_roster_problem(session.pk, open_tasks=tasks)
    then = load_roster_problem(session.pk, instead=revised, open_tasks=tasks)
    before, after = judge_session(now, roster), judge_session(then, roster)
    known, new = {_key(f) for f in before}, {_key(f) for f in after}
    return SessionChange(
        code=session.code,
        season_code=session.season.code,
        title=session.title,
        on=day_of(session),
        blocked_before=_blocked(session, before),
        blocked_after=_blocked(session, after),
        came=tuple(f for f in after if _key(f) not in known),
        gone=tuple(f for f in before if _key(f) not in new),
    )


def judge_session(problem: RosterProblem, roster: Roster | None) -> tuple[Finding, ...]:
    """Return the findings on a session: on its roster, or on those who come before there is one."""
    if roster is not None:
        return judge_roster(problem, roster)
    if not problem.people:
        return ()
    everyone = tuple(person.id for person in problem.people)
    return sort_gravest(check_admission(problem, everyone).findings)


def _blocked(session: Session, findings: tuple[Finding, ...]) -> bool:
    return any(each.blocks for each in judge_findings(session.pk, findings))


def _key(finding: Finding) -> tuple[object, ...]:
    # By place and figures, not by words: a sentence that only names the new version is no change.
    return (
        finding.rule, finding.severity, finding.people, finding.task, finding.round,
        finding.required, finding.found,
    )  # fmt: skip
