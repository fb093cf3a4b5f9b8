"""What a search says while it runs, and how it asks whether to go on.

Not for showing it to anybody: pages and terminals do that. Both callbacks are
called in the thread that called the planner, never in one of the solver's, so
they may use the caller's database connection.
"""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Progress:
    """How far one stage of a search is.

    `value` is the best answer so far and `bound` the best not yet ruled out,
    both in the stage's own figure; None while there is none. `seconds` counts
    from the start of the whole search. `said` tells the best so far in words,
    where two figures would not.
    """

    stage: str
    value: int | None
    bound: int | None
    seconds: float
    said: str = ""


OnProgress = Callable[[Progress], None]
ShouldStop = Callable[[], bool]
