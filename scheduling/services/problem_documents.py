"""Answer documents loaded back: judged by all the rules, shown, and kept only when confirmed.

Nothing an answer says of itself is believed: its worth is counted anew, and it
is not called proven.
"""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from scheduling.domain.capacity import gather_units
from scheduling.domain.documents.coming_back import plan_from, roster_from
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.season_plan import read_season_plan
from scheduling.domain.errors import AnswerRefused
from scheduling.domain.judgement import judge_roster
from scheduling.domain.planner.left_out import explain_left_out
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_terms import build_terms, value_of_season
from scheduling.domain.planner.worth import value_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, SolveStatus, Value
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.season import PlannedUnits, SeasonResult
from scheduling.domain.season_comfort import say_comfort
from scheduling.queries.problem_documents import name_of_season, name_of_session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.season_problems import OpenSeason, load_open_season
from scheduling.services.rosters import keep_loaded
from scheduling.services.seasons import KeptPlan, propose_plan

ENGINE = "from a document"
SEEN_CHANGED = "What is known has changed since you looked at this answer; look again."


@dataclass(frozen=True, slots=True)
class LoadedRoster:
    """An answer as a roster of the session, with what the rules say of it.

    `seen` is a digest of all that is shown: what is confirmed is what was seen.
    """

    roster: Roster
    value: Value
    findings: tuple[Finding, ...]
    people: int
    idle: int
    seen: str

    @property
    def is_blocked(self) -> bool:
        """Whether some finding would keep the draft from being published."""
        return any(finding.severity is Severity.BLOCKS for finding in self.findings)


@dataclass(frozen=True, slots=True)
class LoadedPlan:
    """An answer as a plan of the season, with what it would break; see `LoadedRoster`."""

    planned: tuple[PlannedUnits, ...]
    value: int
    faults: tuple[str, ...]
    left_out: tuple[str, ...]
    sessions: int
    items: int
    seen: str


def preview_day_answer(*, session_id: int, text: str) -> LoadedRoster:
    """Return an answer as a roster with its findings; nothing is kept.

    Raises:
        DocumentFault: If the text is no day-roster/1.
        AnswerRefused: If it is not for this session as it is now.
    """
    return _judge_roster(load_roster_problem(session_id), session_id, text)


def _judge_roster(problem: RosterProblem, session_id: int, text: str) -> LoadedRoster:
    roster = roster_from(problem, read_day_roster(text), name=name_of_session(session_id))
    findings = judge_roster(problem, roster, remedies=True)
    busy = {cell.person for cell in roster.assignments}
    return LoadedRoster(
        roster=roster,
        value=value_of(problem, roster),
        findings=findings,
        people=len(problem.people),
        idle=len(problem.people) - len(busy),
        seen=_digest(roster, [finding.text for finding in findings]),
    )


def take_day_answer(*, session_id: int, text: str, seen: str, by: int, at: datetime) -> int:
    """Keep an answer that was looked at as the session's newest draft; return its version.

    Raises:
        DocumentFault: If the text is no day-roster/1.
        AnswerRefused: If it is not for this session as it is now, or something
            of what was shown has changed.
    """
    loaded = preview_day_answer(session_id=session_id, text=text)
    if loaded.seen != seen:
        raise AnswerRefused(SEEN_CHANGED)
    return keep_loaded(
        session_id=session_id, roster=loaded.roster, value=loaded.value, by=by, at=at
    )


def preview_season_answer(*, season_id: int, text: str, at: datetime) -> LoadedPlan:
    """Return an answer as a season plan with what it would break; nothing is kept.

    Raises:
        DocumentFault: If the text is no season-plan/1.
        AnswerRefused: If it is not for this season as it is now.
        NothingPlanned: If nothing is left to plan.
    """
    return _judge_plan(load_open_season(season_id, at=at), season_id, text)


def _judge_plan(season: OpenSeason, season_id: int, text: str) -> LoadedPlan:
    problem = season.problem
    planned = plan_from(problem, read_season_plan(text), name=name_of_season(season_id))
    faults = (*find_season_faults(problem, planned), *_broken_promises(season, planned))
    left_out = () if faults else explain_left_out(build_terms(problem), planned)
    return LoadedPlan(
        planned=planned,
        value=value_of_season(problem, planned),
        faults=faults,
        left_out=left_out,
        sessions=len({part.session for part in planned}),
        items=len({part.item for part in planned}),
        seen=_digest(planned, faults),
    )


def _broken_promises(season: OpenSeason, planned: tuple[PlannedUnits, ...]) -> tuple[str, ...]:
    given = {(part.item, part.session): part.units for part in planned}
    items = {item.id: item for item in season.problem.items}
    days = {session.id: session.on for session in season.problem.sessions}
    return tuple(
        f"“{items[part.item].title or part.item}”: the published roster of "
        f"{days[part.session].isoformat()} promises {part.units} units, the answer gives "
        f"{given.get((part.item, part.session), 0)}."
        for part in gather_units(season.problem, season.promised)
        if given.get((part.item, part.session), 0) < part.units
    )


def take_season_answer(*, season_id: int, text: str, seen: str, at: datetime) -> KeptPlan:
    """Propose an answer that was looked at as the season's plan.

    Raises:
        DocumentFault: If the text is no season-plan/1.
        AnswerRefused: If it is not for this season as it is now, breaks what must
            hold, or something of what was shown has changed.
    """
    season = load_open_season(season_id, at=at)
    loaded = _judge_plan(season, season_id, text)
    if loaded.faults:
        raise AnswerRefused(f"The answer breaks what must hold. {loaded.faults[0]}")
    if loaded.seen != seen:
        raise AnswerRefused(SEEN_CHANGED)
    result = SeasonResult(
        status=SolveStatus.GOOD,
        planned=loaded.planned,
        value=loaded.value,
        bound=None,
        seconds=0.0,
        seed=0,
        engine=ENGINE,
        left_out=loaded.left_out,
        notes=say_comfort(season.problem, loaded.planned),
    )
    kept = propose_plan(season_id=season_id, open_season=season, result=result, at=at)
    if kept is None:
        raise AnswerRefused("The answer holds no plan.")
    return kept


def _digest(*shown: object) -> str:
    return sha256(repr(shown).encode()).hexdigest()
