"""Who may dig, given what stood on the ground before: the contamination gate.

Front door: `judge_history`. A gate, not an assessment: it never says that
ground is safe, only what is on record. `scheduling` turns it into a rule.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from orchard.domain.citing import Citation, Status
from orchard.domain.place import Area

GATE = Citation(
    "EPA, Brownfields and Urban Agriculture: Interim Guidelines (2011): find the previous use, "
    "sample, interpret, manage the risk, then grow",
    Status.VERIFIED,
)


class Digging(StrEnum):
    """Who may open the ground, as far as its past says."""

    ON_RECORD = "nothing on record keeps anybody from opening this ground"
    NO_YOUNG = "nobody under 18 opens this ground yet"
    NOBODY = "nobody opens this ground"


@dataclass(frozen=True, slots=True)
class GroundHistory:
    """What is on record about an area's past. None or empty: nobody looked."""

    area: str
    was_building: bool = False
    past_use: str = ""
    soil_test_on: date | None = None
    soil_test_clear: bool | None = None


@dataclass(frozen=True, slots=True)
class HistoryVerdict:
    """Who may dig, why, and what would clear it."""

    area: str
    digging: Digging
    because: str
    next_steps: tuple[str, ...]
    citation: Citation

    @property
    def young_may_dig(self) -> bool:
        """Whether digging tasks may include young people."""
        return self.digging is Digging.ON_RECORD


def read_history(area: Area) -> GroundHistory:
    """Return what the site's records say of an area's past."""
    return GroundHistory(
        area.code, area.was_building, area.past_use, area.soil_test_on, area.soil_test_clear
    )


def judge_history(history: GroundHistory, *, on: date) -> HistoryVerdict:
    """Return who may dig in an area, as far as its past is on record.

    On the footprint of a building, or where nobody looked up the past, no
    digging includes young people until past use and a clear soil test are on
    record. A test that was not clear keeps everybody out.

    Args:
        history: From `read_history`.
        on: The day asked about; a test dated later does not count yet.

    Source:
        The gate's citation; that a lawn of known past needs no test before
        young people dig is this project's reading of it, to be confirmed locally.
    """
    tested = history.soil_test_on is not None and history.soil_test_on <= on
    known = bool(history.past_use.strip())
    if tested and history.soil_test_clear is False:
        return _verdict(
            history,
            Digging.NOBODY,
            f"The soil test of {history.soil_test_on} was not clear.",
            "Ask the laboratory or the health authority what the figures mean, and act on it, "
            "before anyone opens the ground.",
        )
    if tested and history.soil_test_clear and known:
        because = f"Past use on record ({history.past_use}); soil test {history.soil_test_on} clear"
        return _verdict(history, Digging.ON_RECORD, f"{because}.")
    if not history.was_building and known:
        because = f"No building stood here; past use on record ({history.past_use})"
        return _verdict(history, Digging.ON_RECORD, f"{because}; no soil test.")
    steps, lacking = [], []
    if not known:
        lacking.append("past use")
        steps.append("Find out and record what stood or was done here before.")
    if not (tested and history.soil_test_clear):
        lacking.append("a clear soil test")
        steps.append(
            "Have the soil sampled and tested, and record the day and whether it is clear."
        )
    where = "A building stood here" if history.was_building else "Nobody recorded the past use"
    because = f"{where}; not on record: {' and '.join(lacking)}."
    return _verdict(history, Digging.NO_YOUNG, because, *steps)


def _verdict(history: GroundHistory, digging: Digging, because: str, *steps: str) -> HistoryVerdict:
    return HistoryVerdict(history.area, digging, because, tuple(steps), GATE)
