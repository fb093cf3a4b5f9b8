"""An outline found beside the search: bounds are sought in one thread, rosters in another.

The solver does not hold the interpreter while it works, so on two cores neither waits for
the other. Not for what an outline is (`outline`).
"""

import threading

from scheduling.domain.planner.outline import Outline, OutlineTask, find_outline
from scheduling.domain.planner.search import Clock

JOIN_SECONDS = 0.5  # for a thread told to stop; the solver looks up many times in that


class OutlineAside:
    """One outline on its way; `take` gives it once it is there."""

    def __init__(self, task: OutlineTask, clock: Clock, seconds: float) -> None:
        """Begin; `seconds` are wall seconds at most."""
        self._stop = threading.Event()
        self._found: list[Outline] = []
        self._failure: list[BaseException] = []
        # Its own clock: a stop is noted in a clock, and this one is stopped for less.
        own = Clock(clock.limits)
        own.started = clock.started
        self._thread = threading.Thread(
            target=self._find, args=(task, own, seconds), name="outline aside", daemon=True
        )
        self._thread.start()

    def _find(self, task: OutlineTask, clock: Clock, seconds: float) -> None:
        try:
            self._found.append(find_outline(task, clock, seconds, should_stop=self._stop.is_set))
        except BaseException as error:  # carried to the searching thread and raised there
            self._failure.append(error)

    def take(self) -> Outline | None:
        """Return the outline if it is there, once; None before and after."""
        if self._failure:
            raise self._failure.pop()
        return self._found.pop() if self._found else None

    def end(self) -> Outline | None:
        """Stop, and return what is known by then."""
        self._stop.set()
        self._thread.join(JOIN_SECONDS)
        return self.take()
