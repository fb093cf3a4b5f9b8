"""The verdict on an area's ground: evidence, what is missing, what contradicts, what next.

Front door: `diagnose_area(area, readings, history, on=...) -> AreaDiagnosis`.
Not for saying that ground is safe to handle; that gate is `ground_history`.
"""

from dataclasses import dataclass
from enum import StrEnum

from orchard.domain.citing import Citation
from orchard.domain.ground_history import HistoryVerdict
from orchard.domain.place import Hardness
from orchard.domain.plan import AreaHardness


class GroundVerdict(StrEnum):
    """What the readings say of roots in an area."""

    UNKNOWN = "not known"
    OPEN = "open"
    HINDERED = "hindered"
    COMPACTED = "compacted"
    SEVERE = "severely compacted"


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    """One thing the readings say, with who says so. `counts` is False for one set aside."""

    subject: str  # "penetrometer", "bulk density", "air", "drainage", "spade test", ...
    text: str
    verdict: str
    citation: Citation
    readings: tuple[str, ...]  # codes of the readings behind it
    counts: bool = True


@dataclass(frozen=True, slots=True)
class AreaDiagnosis:
    """The verdict on one area, for the page and for the plan."""

    area: str
    verdict: GroundVerdict
    hardness: Hardness
    because: str
    evidence: tuple[EvidenceLine, ...]
    missing: tuple[str, ...]
    contradictions: tuple[str, ...]
    next_steps: tuple[str, ...]
    digging: HistoryVerdict

    def to_hardness(self) -> AreaHardness:
        """Return the verdict as a plan carries it."""
        return AreaHardness(self.area, self.hardness, self.because)
