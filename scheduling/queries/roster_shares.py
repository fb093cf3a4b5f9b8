"""Reads what a session's newest roster does for learning, and where the season decided it."""

from dataclasses import dataclass

from scheduling.domain.learning_words import Learning, tell_learning
from scheduling.domain.planner.season_reasons import SeasonSaid, explain_season
from scheduling.domain.problem import Person
from scheduling.domain.rules import all_conditions
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster_value
from scheduling.queries.shares import ShareLine, build_line


@dataclass(frozen=True, slots=True)
class RosterShares:
    """A session's people with what they have carried before it, and what its roster made of that.

    `learning` is None without a roster, `said` also where nobody has a past.
    `lines` are adults alone; `young` counts the others with a past.
    """

    learning: Learning | None
    said: SeasonSaid | None
    lines: tuple[ShareLine, ...]
    young: int

    @property
    def due(self) -> int:
        """How many of the adults the season leans to something."""
        return sum(bool(line.due) for line in self.lines)


def load_roster_shares(session_id: int) -> RosterShares:
    """Return what the season so far means for a session and did to its newest roster.

    Raises:
        SessionUnknown: If there is no such session.
    """
    problem = load_roster_problem(session_id)
    roster = find_current_roster_value(session_id)
    behind = [person for person in problem.people if person.past is not None]
    grown = sorted((p for p in behind if not p.is_young), key=lambda p: (p.name, p.id))
    return RosterShares(
        learning=None if roster is None else tell_learning(problem, roster),
        said=None if roster is None else explain_season(problem, all_conditions(problem), roster),
        lines=tuple(line for person in grown for line in _line(person)),
        young=len(behind) - len(grown),
    )


def _line(person: Person) -> tuple[ShareLine, ...]:
    if person.past is None:
        return ()
    said = (person.heavy_liking, *(liking for _, liking in person.preferences))
    return (build_line(person.name, person.past, said, bool(person.wished_skills)),)
