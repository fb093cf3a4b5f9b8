"""The format `season-plan/1`: the answer to a `season-problem/1`.

    {"format": "season-plan/1", "problem": "…",               the name of the problem
     "status": "good",                    best (proven), good (cut short), impossible, undecided
     "units": {"w0001": {"D00": 4, "D02": 8}},                whole units by item and session
     "objective": 76212014, "bound": 78012000, "seconds": 3.2,
     "reasons": ["…"]}                                        reasons only when impossible

Without a plan `units` is empty, `objective` and `bound` null. No plan is worth more than the bound.
"""

from dataclasses import dataclass

from scheduling.domain.documents.day_roster import read_reasons, read_status
from scheduling.domain.documents.place import open_document
from scheduling.domain.roster import SolveStatus

FORMAT = "season-plan/1"
KEYS = ("format", "problem", "status", "units", "objective", "bound", "seconds")
MOST_VALUE = 10**17


@dataclass(frozen=True, slots=True)
class SeasonAnswer:
    """A `season-plan/1`, key by key."""

    problem: str
    status: SolveStatus
    units: tuple[tuple[str, tuple[tuple[str, int], ...]], ...]
    objective: int | None
    bound: int | None
    seconds: float
    reasons: tuple[str, ...] = ()


def read_season_plan(text: str) -> SeasonAnswer:
    """Return the answer that a text holds; whether it is a good one is for the judge.

    Args:
        text: JSON of the format `season-plan/1`.

    Raises:
        DocumentFault: At the first thing that is wrong, with its path and line.
    """
    fields = open_document(text, FORMAT).fields(KEYS, spare=("reasons",))
    return SeasonAnswer(
        problem=fields["problem"].word(),
        status=read_status(fields["status"]),
        units=tuple(
            (
                item,
                tuple((name, one.whole(-MOST_VALUE, MOST_VALUE)) for name, one in row.pairs()),
            )
            for item, row in fields["units"].pairs()
        ),
        objective=fields["objective"].whole_or_null(-MOST_VALUE, MOST_VALUE),
        bound=fields["bound"].whole_or_null(-MOST_VALUE, MOST_VALUE),
        seconds=fields["seconds"].number(),
        reasons=read_reasons(fields.get("reasons")),
    )
