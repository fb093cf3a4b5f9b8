"""One search for a day's roster: its model, its clock, the best so far, what bounds it.

The only place where an answer becomes a roster: nothing is kept that `verify`
has not passed, or that is worse than what is there. Not for the order in which
things are tried (`day_stages`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ortools.sat.python import cp_model

from scheduling.domain.condition import Condition
from scheduling.domain.people import PersonId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import DayModel, build_day_model
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.objective import Stage, StageName, build_stages
from scheduling.domain.planner.part_choice import PartChooser
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.reading import hint_answer, hint_roster, read_roster
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.symmetry import alike_people, order_alike
from scheduling.domain.planner.translate import add_conditions
from scheduling.domain.planner.worth import rank, value_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, Value
from scheduling.domain.verify import find_violations


@dataclass(slots=True)
class DaySearch:
    """The state of one search.

    `day` is None before `open_day`; `is_part` says that it holds only some of
    the cells, so that its proofs are none of the whole day.
    """

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    forbidden: frozenset[Cell]
    kinds: Sequence[tuple[PersonId, ...]]  # alike in the work they can do
    clock: Clock
    on_progress: OnProgress | None
    should_stop: ShouldStop | None
    bound: Value
    day: DayModel | None = None
    is_part: bool = False
    stages: tuple[Stage, ...] = ()
    fixed: list[StageName] = field(default_factory=list)
    roster: Roster | None = None
    value: Value | None = None
    is_impossible: bool = False
    all_proven: bool = True
    outlined: set[StageName] = field(default_factory=set)  # whose bound is known already
    chooser: PartChooser | None = None  # of parts, once parts are searched
    is_repeatable: bool = True  # whether every run so far goes the same way again

    @property
    def model(self) -> DayModel:
        """The day's model; `open_day` has made it."""
        if self.day is None:
            raise EngineFault("A day is searched before its model was built.")
        return self.day

    @property
    def cells(self) -> int:
        """How many cells the whole day has at most: people, tasks and rounds multiplied."""
        return len(self.problem.people) * len(self.problem.tasks) * self.problem.rounds

    def best(self, name: StageName) -> int:
        """Return the bound of a stage."""
        bound: int = getattr(self.bound, name)
        return bound

    def reached(self, name: StageName) -> int:
        """Return what the best roster so far is worth at a stage."""
        reached: int = getattr(self.value, name)
        return reached

    def is_reached(self, name: StageName) -> bool:
        """Say whether there is a roster that reaches a stage's bound."""
        return self.value is not None and self.reached(name) == self.best(name)

    def open_day(self, left_out: frozenset[Cell] = frozenset()) -> None:
        """Build the model, of the whole day or without some cells; start from the roster.

        The roster's own cells are always in it.
        """
        if self.roster is not None:
            left_out -= {(a.person, a.task, a.round) for a in self.roster.assignments}
        self.day = build_day_model(
            self.problem, self.conditions, forbidden=self.forbidden | left_out
        )
        self.is_part = bool(left_out)
        add_conditions(self.day, self.conditions)
        order_alike(self.day, alike_people(self.problem, self.conditions))
        self.stages = build_stages(self.day)
        if self.roster is not None:
            hint_roster(self.day, self.roster)
        for name in self.fixed:
            self._hold(self.stage(name))

    def stage(self, name: StageName) -> Stage:
        """Return the stage of a name."""
        return next(stage for stage in self.stages if stage.name == name)

    def tighten(self, name: StageName, found: int) -> None:
        """Keep a bound of a stage if it is better than the one known."""
        is_least = name in ("required_left", "changes")
        better = max(self.best(name), found) if is_least else min(self.best(name), found)
        self.bound = replace(self.bound, **{name: better})

    def fix(self, stage: Stage) -> None:
        """Let no later stage undo what this one found."""
        self.fixed.append(stage.name)
        self._hold(stage)

    def _hold(self, stage: Stage) -> None:
        if stage.is_least:
            self.model.model.add(stage.expression <= self.reached(stage.name))
        else:
            self.model.model.add(stage.expression >= self.reached(stage.name))

    def believe(self, stage: Stage) -> None:
        """Let the search end as soon as it reaches what no roster can surpass."""
        if self.value is None:
            return  # the bounds of later stages are for earlier ones as found
        if stage.is_least:
            self.model.model.add(stage.expression >= self.best(stage.name))
        else:
            self.model.model.add(stage.expression <= self.best(stage.name))

    def run(
        self,
        model: cp_model.CpModel,
        label: str,
        seconds: float,
        *,
        has_sums: bool = False,
        many_ways: bool = False,
        tells: StageName | None = None,
        is_whole: bool = False,
    ) -> Found:
        """Search a model once and keep the answer.

        Args:
            model: The day's own or a narrower copy of it.
            label: What is searched for.
            seconds: Wall seconds, at most what is left.
            has_sums: See `new_solver`.
            many_ways: See `new_solver`.
            tells: The stage whose values are passed on with the best bound known.
            is_whole: Whether the solver's own bound is one of the day's.
        """
        found = run_search(
            model,
            self.clock,
            stage=label,
            seconds=min(seconds, self.clock.left),
            on_progress=self.on_progress if is_whole else self._teller(tells),
            should_stop=self.should_stop,
            has_sums=has_sums,
            many_ways=many_ways,
        )
        in_turn = has_sums or self.clock.limits.repeatable or self.clock.limits.workers <= 1
        self.is_repeatable &= in_turn and found.proven
        if found.has_answer and self.keep(self.model, found):
            hint_answer(self.model, found.solver)
        return found

    def is_stopped(self) -> bool:
        """Say whether the caller wants the search to end; noted for good."""
        if self.should_stop is not None and not self.clock.is_stopped and self.should_stop():
            self.clock.is_stopped = True
        return self.clock.is_stopped

    def tell(self) -> None:
        """Pass on what the roster so far is worth at the stages of work."""
        for stage in self.stages[:2]:
            if self.on_progress is not None and self.value is not None:
                reached, best = self.reached(stage.name), self.best(stage.name)
                self.on_progress(Progress(stage.label, reached, best, self.clock.seconds))

    def _teller(self, name: StageName | None) -> OnProgress | None:
        listener = self.on_progress
        if listener is None or name is None:
            return None

        def tell(progress: Progress) -> None:
            listener(replace(progress, bound=self.best(name)))

        return tell

    def keep(self, day: DayModel, found: Found) -> bool:
        """Keep an answer of a day's or a part's model unless the roster so far is better.

        Returns:
            Whether it is kept.

        Raises:
            EngineFault: If it breaks a condition; a bug.
        """
        roster = read_roster(day, found.solver)
        value = value_of(self.problem, roster)
        if roster == self.roster or (self.value is not None and rank(value) < rank(self.value)):
            return roster == self.roster
        findings = find_violations(self.problem, self.conditions, roster)
        if findings:
            raise EngineFault(
                "The solver's roster breaks conditions it was given.",
                tuple(finding.text for finding in findings),
            )
        self.roster, self.value = roster, value
        return True


def aim(model: cp_model.CpModel, stage: Stage) -> None:
    """Search for the best of a stage from now on."""
    if stage.is_least:
        model.minimize(stage.expression)
    else:
        model.maximize(stage.expression)
