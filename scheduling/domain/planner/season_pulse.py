"""How much time a season's search has left, asked from deep inside it. Not for the limits."""

from collections.abc import Callable
from time import monotonic

from scheduling.domain.planner.progress import ShouldStop
from scheduling.domain.planner.search import Clock

POLL_SECONDS = 0.1


class Pulse:
    """The time left of a search, 0 as soon as somebody wishes it to stop."""

    def __init__(self, clock: Clock, should_stop: ShouldStop | None) -> None:
        self.clock = clock
        self.should_stop = should_stop
        self.asked = float("-inf")

    def left(self) -> float:
        """Return the seconds left; asks whether to stop about ten times a second."""
        if (
            self.should_stop is not None
            and not self.clock.is_stopped
            and monotonic() - self.asked > POLL_SECONDS
        ):
            self.asked = monotonic()
            self.clock.is_stopped = self.should_stop()
        return self.clock.left

    def ask(self) -> float:
        """Return the seconds left, asking at once whether to stop."""
        self.asked = float("-inf")
        return self.left()

    def until(self, seconds: float) -> Callable[[], float]:
        """Return a function that gives the seconds left of a part of the time."""
        end = self.clock.seconds + seconds
        return lambda: min(self.left(), max(0.0, end - self.clock.seconds))
