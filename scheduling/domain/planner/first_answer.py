"""A search's first answer and floor: the roster made by hand.

It is there before any model is built, is told at once, is what the models start from, and
no answer worse than it is kept after it. Not for how it is made (`by_hand`).
"""

from scheduling.domain.planner.by_hand import make_roster_by_hand
from scheduling.domain.planner.day_search import DaySearch
from scheduling.domain.planner.day_stages import LARGE_DAY, search_day
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.objective import LABELS, StageName
from scheduling.domain.planner.progress import Progress
from scheduling.domain.planner.worth import rank
from scheduling.domain.roster import Roster, Value

HAND_SHARE = 0.04  # of the whole time, for making parts of the roster again
LARGE_SHARE = 0.15  # the same on a large day, of which no model of the whole is built
FEW_CELLS = 2000  # so few that searching is quicker than making anything again


def search_from_hand(search: DaySearch) -> None:
    """Search a day from a roster made by hand, where one is found.

    A day too large for any model of it goes on by hand while there is time.

    Raises:
        EngineFault: If a day was called impossible of which there is a roster.
    """
    _take(search)
    search_day(search)
    if search.is_impossible:
        if search.roster is not None:
            raise EngineFault("A roster was made by hand, yet the day was called impossible.")
        return
    if search.day is None:
        search.all_proven = False
        if search.clock.left > 0:
            _make(search, search.clock.left)


def _take(search: DaySearch) -> None:
    """Make a roster, tell it at once, and make parts of it again while it may take time."""
    seconds = 0.0
    if search.cells > FEW_CELLS:
        share = LARGE_SHARE if search.cells > LARGE_DAY else HAND_SHARE
        seconds = search.clock.left * share
    _make(search, seconds)
    _tell(search)


def _tell(search: DaySearch) -> None:
    if search.value is None or search.on_progress is None:
        return
    tasks = search.problem.tasks
    has_required = any(t.required and t.value_per_unit and t.units > 0 for t in tasks)
    name: StageName = "required_left" if has_required else "other_done"
    reached, best = search.reached(name), search.best(name)
    search.on_progress(Progress(LABELS[name], reached, best, search.clock.seconds))


def _make(search: DaySearch, seconds: float) -> None:
    def keep(made: tuple[Roster, Value]) -> None:
        if search.value is None or rank(made[1]) > rank(search.value):
            is_first = search.value is None
            search.roster, search.value = made
            if is_first:
                _tell(search)

    made = make_roster_by_hand(
        search.problem,
        search.conditions,
        search.forbidden,
        seconds=seconds,
        seed=search.clock.limits.seed,
        on_better=keep,
        should_stop=search.should_stop,
    )
    if made is not None:
        keep(made)
