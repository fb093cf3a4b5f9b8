"""What a search about a day or a season hands over to be kept: the answer and what it is of."""

from dataclasses import asdict, dataclass
from typing import Any

from scheduling.domain.day_answers import (
    CostsSeen,
    RepairSeen,
    SessionChance,
    SpareSeen,
    write_answer,
)
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.roster import ENGINE_VERSION
from scheduling.domain.season_answers import SeasonChangesSeen
from scheduling.queries.day_answers import Basis
from scheduling.queries.season_answers import SeasonBasis


@dataclass(frozen=True, slots=True)
class Watch:
    """What a search tells of itself, and how it asks whether to go on; None for nobody."""

    on_progress: OnProgress | None = None
    should_stop: ShouldStop | None = None

    @property
    def is_stopped(self) -> bool:
        """Whether somebody wants it to end."""
        return self.should_stop is not None and self.should_stop()


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer, what it was computed from, and how its search ended.

    `status` is the solver's word where one search was all there was, else empty.
    """

    told: SessionChance | CostsSeen | SpareSeen | RepairSeen | SeasonChangesSeen
    basis: Basis | SeasonBasis
    seconds: float
    status: str = ""

    def to_columns(self) -> dict[str, Any]:
        """Return the columns of the search's row."""
        return {
            "answer": {"told": write_answer(self.told), "basis": asdict(self.basis)},
            "problem_digest": self.basis.digest,
            "found_seconds": self.seconds,
            "status": self.status,
            "engine": ENGINE_VERSION,
        }
