"""The format `day-roster/1`: the answer to a `day-problem/1`.

    {"format": "day-roster/1", "problem": "…",                 the name of the problem
     "status": "best",                    best (proven), good (cut short), impossible (proven),
                                          undecided (nothing found in time)
     "assignments": {"p001": ["t01", null, …]},                by round; who is not named is idle
     "units": {"t01": [0, 4, …]},                              finished in each round
     "objective": {"required_left": 0, "other_done": 663, "changes": 0, "comfort": 116},
     "bound": {"required_left": 0, "other_done": 680, "changes": 0, "comfort": 130},
     "seconds": 3.2, "reasons": ["…"]}                         reasons only when impossible

Without a roster `assignments` and `units` are empty, `objective` and `bound` null. The bound of a
stage holds for the earlier stages as found: no roster as good in those is better in this one.
"""

from dataclasses import dataclass

from scheduling.domain.documents.place import Place, open_document
from scheduling.domain.roster import SolveStatus, Value

FORMAT = "day-roster/1"
KEYS = (
    "format", "problem", "status", "assignments", "units", "objective", "bound", "seconds",
)  # fmt: skip
VALUE_KEYS = ("required_left", "other_done", "changes", "comfort")
MOST_VALUE = 10**17


@dataclass(frozen=True, slots=True)
class DayAnswer:
    """A `day-roster/1`, key by key."""

    problem: str
    status: SolveStatus
    assignments: tuple[tuple[str, tuple[str | None, ...]], ...]
    units: tuple[tuple[str, tuple[int, ...]], ...]
    objective: Value | None
    bound: Value | None
    seconds: float
    reasons: tuple[str, ...] = ()


def read_day_roster(text: str) -> DayAnswer:
    """Return the answer that a text holds; whether it is a good one is for the judge.

    Args:
        text: JSON of the format `day-roster/1`.

    Raises:
        DocumentFault: At the first thing that is wrong, with its path and line.
    """
    fields = open_document(text, FORMAT).fields(KEYS, spare=("reasons",))
    return DayAnswer(
        problem=fields["problem"].word(),
        status=read_status(fields["status"]),
        assignments=tuple(
            (person, tuple(one.word_or_null() for one in row.entries()))
            for person, row in fields["assignments"].pairs()
        ),
        units=tuple(
            (task, tuple(one.whole(-MOST_VALUE, MOST_VALUE) for one in row.entries()))
            for task, row in fields["units"].pairs()
        ),
        objective=_read_value(fields["objective"]),
        bound=_read_value(fields["bound"]),
        seconds=fields["seconds"].number(),
        reasons=read_reasons(fields.get("reasons")),
    )


def read_status(place: Place) -> SolveStatus:
    """Return how an answer says that it ended."""
    said = place.word()
    if said not in tuple(SolveStatus):
        known = ", ".join(f"“{status}”" for status in SolveStatus)
        place.refuse(f"“{said}” is no status; there are {known}.")
    return SolveStatus(said)


def read_reasons(place: Place | None) -> tuple[str, ...]:
    """Return the sentences of an answer that says why there is none."""
    return () if place is None else tuple(one.sentence() for one in place.entries())


def _read_value(place: Place) -> Value | None:
    if place.value is None:
        return None
    fields = place.fields(VALUE_KEYS)
    return Value(**{key: fields[key].whole(-MOST_VALUE, MOST_VALUE) for key in VALUE_KEYS})
