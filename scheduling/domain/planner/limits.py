"""How long a search may take and what makes it repeatable. Not for what is searched."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Wall seconds, seed and threads of one search.

    A search that is proven at every stage gives the same answer on every run,
    as its last step breaks ties. A search cut short does not, unless
    `repeatable` makes the threads take turns in a fixed order. That was measured
    on two cores to find much less in the same time (40 people, 16 tasks, 6
    rounds, 8 s: other work 6 against 396), so it is off.
    """

    seconds: float = 8.0
    seed: int = 1
    workers: int = 2
    repeatable: bool = False
