"""Reads answers about a session's day that were kept, and whether they are still of this day."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any, Generic, TypeVar

from scheduling.domain.attendance import Belief
from scheduling.domain.day_answers import read_answer
from scheduling.domain.problem import RosterProblem
from scheduling.domain.search_progress import digest_problem
from scheduling.models import Roster as RosterRow
from scheduling.queries.attendance import load_session_belief
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_id
from scheduling.queries.runs import RunSeen, find_newest_run

AnyAnswer = TypeVar("AnyAnswer")


@dataclass(frozen=True, slots=True)
class Basis:
    """What an answer was computed from: the day, the newest roster, the belief who turns up.

    `belief` is empty where the answer does not reckon with it.
    """

    day: str
    roster: int | None
    belief: str = ""

    @property
    def digest(self) -> str:
        """The digest of what was searched."""
        return self.day


@dataclass(frozen=True, slots=True)
class KeptAnswer(Generic[AnyAnswer]):
    """An answer with the search it is of; `changed` says in sentences why it is out of date."""

    told: AnyAnswer
    run: RunSeen
    changed: tuple[str, ...]


def mark_basis(
    problem: RosterProblem, roster_id: int | None, belief: Belief | None = None
) -> Basis:
    """Return what an answer about a session's day is computed from."""
    return Basis(digest_problem(problem), roster_id, "" if belief is None else mark_belief(belief))


def find_answer(
    kind: type[AnyAnswer], *, session_id: int, kinds: tuple[str, ...], at: datetime
) -> KeptAnswer[AnyAnswer] | None:
    """Return the newest answer that searches of these kinds brought, or None.

    One that came without an answer, or is under way, leaves the answer before it.

    Args:
        kind: How the answer reads.
        session_id: The session.
        kinds: Which searches.
        at: Now, aware.
    """
    run = find_newest_run(at=at, session_id=session_id, kinds=kinds, answered=True)
    if run is None or run.answer is None:
        return None
    told = read_answer(kind, run.answer.get("told"))
    if told is None:
        return None
    return KeptAnswer(told, run, _say_changes(session_id, run.answer.get("basis", {}), run))


def _say_changes(session_id: int, kept: dict[str, Any], run: RunSeen) -> tuple[str, ...]:
    """Return a sentence for each thing that is not any more as it was when this was searched."""
    said = []
    if run.problem_digest != digest_problem(load_roster_problem(session_id)):
        said.append("Sign-ups, work, rules or the day’s figures have changed since.")
    newest = find_current_id(session_id)
    if newest != kept.get("roster"):
        said.append(_say_newer(newest))
    if kept.get("belief"):
        now = mark_belief(load_session_belief(session_id))
        if now != kept["belief"]:
            said.append("Records since then say more about how many turn up.")
    return tuple(said)


def mark_belief(belief: Belief) -> str:
    """Return a mark of a belief: another one is another belief."""
    return sha256(repr(belief).encode()).hexdigest()


def _say_newer(newest: int | None) -> str:
    if newest is None:
        return "The roster it was held against is not there any more."
    version = RosterRow.objects.values_list("version", flat=True).get(pk=newest)
    return f"Another roster was made since: version {version}."
