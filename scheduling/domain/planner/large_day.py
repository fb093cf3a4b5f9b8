"""A large day: bounds sought in one thread, the roster made better part by part in another.

No model of the whole day is built: of hundreds of people it takes longer to build than
there is time for. Every bound comes from an outline. Not for days of which there is no
roster by hand (`day_stages`).
"""

from dataclasses import replace

from scheduling.domain.planner.day_parts import improve_by_parts
from scheduling.domain.planner.day_search import DaySearch
from scheduling.domain.planner.draws import draw_numbers
from scheduling.domain.planner.objective import LABELS, WORK, StageName, stage_names
from scheduling.domain.planner.outline import Outline, OutlineTask
from scheduling.domain.planner.outline_aside import OutlineAside
from scheduling.domain.planner.part_choice import PartChooser
from scheduling.domain.planner.progress import Progress
from scheduling.domain.planner.symmetry import find_kinds

STAGE_SHARE = 0.75  # of the time left, what one stage may use before the next has its turn
STUCK_SHARE = 0.16  # of the whole time, without anything better, for a stage of work to end


class LargeDay:
    """The search of one large day on its way."""

    def __init__(self, search: DaySearch, task: OutlineTask) -> None:
        """Begin to look for bounds of the work."""
        self.search = search
        self.task = task
        self.names = stage_names(search.problem)
        self.chooser = chooser_of(search)
        self.aside: OutlineAside | None = OutlineAside(task, search.clock, search.clock.left)
        self.asked: tuple[StageName, ...] = tuple(name for name in self.names if name in WORK)
        self.held: dict[StageName, int] = {}
        self.outline = Outline()
        self.bounded: set[StageName] = set()
        self.name = self.names[0]
        self.last_value, self.last_gain = search.value, search.clock.seconds

    def run(self) -> None:
        """Search stage by stage until time is up or everything is proven."""
        try:
            for name in self.names:
                self._run_stage(name)
                self._tell(name)
        finally:
            if self.aside is not None:
                self._note(self.aside.end())
        self._use()
        self.search.all_proven = all(self.search.is_reached(name) for name in self.names)

    def _tell(self, name: StageName) -> None:
        search = self.search
        if search.on_progress is not None:
            reached, best = search.reached(name), search.best(name)
            search.on_progress(Progress(LABELS[name], reached, best, search.clock.seconds))

    def _run_stage(self, name: StageName) -> None:
        search = self.search
        share = 1.0 if name == self.names[-1] else STAGE_SHARE
        self.name, self.last_value, self.last_gain = name, search.value, search.clock.seconds
        ends = search.clock.seconds + search.clock.left * share
        while (seconds := ends - search.clock.seconds) > 0 and search.clock.left > 0:
            self._look(name)
            if search.is_reached(name):
                return
            improve_by_parts(search, name, self.chooser, seconds, is_over=self._is_over)
            if search.is_stopped() or (name in WORK and self._is_stuck()):
                return

    def _is_over(self) -> bool:
        return self._has_news() or (self.name in WORK and self._is_stuck())

    def _is_stuck(self) -> bool:
        """Say whether nothing better has been found for long; mostly nothing better is left."""
        now = self.search.clock.seconds
        if self.search.value != self.last_value:
            self.last_value, self.last_gain = self.search.value, now
        return now - self.last_gain > STUCK_SHARE * self.search.clock.limits.seconds

    def _has_news(self) -> bool:
        if self.aside is None:
            return False
        found = self.aside.take()
        self._note(found)
        return found is not None

    def _note(self, found: Outline | None) -> None:
        if found is not None:
            self.outline, self.aside = found, None
            self.search.is_impossible |= found.is_impossible

    def _look(self, name: StageName) -> None:
        """Use the bounds that are known for the stages as they are; ask for one that is not."""
        self._use()
        if self.aside is not None or name in self.bounded or self.search.is_reached(name):
            return
        self.bounded.add(name)
        earlier = self.names[: self.names.index(name)]
        self.held = {one: self.search.reached(one) for one in earlier}
        self.asked, self.outline = (name,), Outline()
        task = replace(self.task, reached=self.held, only=name)
        if name not in WORK:
            kinds = find_kinds(task.problem, task.conditions)
            task = replace(task, kinds=kinds, for_comfort=True)
        self.aside = OutlineAside(task, self.search.clock, self.search.clock.left)

    def _use(self) -> None:
        """Take over each bound whose earlier stages are as it was found for."""
        held = dict(self.held)
        for name in self.asked:
            same = all(self.search.reached(one) == value for one, value in held.items())
            if name not in self.outline.bounds or not same:
                return
            self.search.tighten(name, self.outline.bounds[name])
            self.bounded.add(name)
            held[name] = self.outline.bounds[name]


def search_large_day(search: DaySearch, task: OutlineTask) -> None:
    """Search a large day of which there is a roster until time is up.

    Args:
        search: With a roster.
        task: What is asked of the outline of its work.
    """
    if search.is_stopped():
        search.all_proven = False
        return
    LargeDay(search, task).run()


def chooser_of(search: DaySearch) -> PartChooser:
    """Return the chooser of a search's parts, always the same."""
    if search.chooser is None:
        numbers = draw_numbers(search.clock.limits.seed)
        search.chooser = PartChooser(search.problem, search.conditions, search.forbidden, numbers)
    return search.chooser
