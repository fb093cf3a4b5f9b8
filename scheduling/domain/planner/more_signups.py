"""How many more sign-ups of which kind lift a day's chance to where it should be.

Front door: `find_signups`. The same drawn days as the chance itself, with people
more who come or stay away like everybody else. Not the chance as it is (`chance`).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.domain.attendance import COMMON_BELIEF, Belief
from scheduling.domain.day_events import Rules
from scheduling.domain.newcomers import (
    NewcomerKind,
    newcomer_kinds,
    say_newcomers,
    with_newcomers,
)
from scheduling.domain.planner.chance import (
    Chance,
    DayAsker,
    draw_days,
    likeness_of,
)
from scheduling.domain.planner.goal import Answer, Goal
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.turnout import Party, build_parties, wilson_interval

TARGETS = (0.90, 0.95)
MOST_MORE = 10  # newcomers; what needs more is said to need more
GLANCE = 24  # failing days by which kinds are compared before all days are asked


@dataclass(frozen=True, slots=True)
class MoreSignups:
    """Newcomers and what the day's chance is with them, by sampling.

    `low` and `high` as in `Chance`. `target` is what they were sought for, None
    where time or `MOST_MORE` ran out before any target.
    """

    target: float | None
    kinds: tuple[NewcomerKind, ...]
    works: int
    draws: int
    low: float
    high: float

    @property
    def words(self) -> str:
        """The newcomers as a list in words; empty when none are needed."""
        return say_newcomers(self.kinds) if self.kinds else ""

    @property
    def share(self) -> float:
        """The part of the drawn days known to work."""
        return self.works / self.draws if self.draws else 0.0


@dataclass(slots=True)
class _Search:
    """The drawn days, asked again with more and more people."""

    problem: RosterProblem
    rules: Rules
    goal: Goal
    limits: Limits
    draws: int
    belief: Belief
    clock: Clock
    should_stop: ShouldStop | None
    on_progress: OnProgress | None
    witnesses: list[Roster]
    tried: int = 0

    def tell(self, best: "MoreSignups") -> None:
        """Say what was found so far, and how many lists of newcomers were tried."""
        if self.on_progress is None or self.clock.left <= 0:
            return  # a step that time cut short asked only some of its days
        said = f"{self.tried} kinds of sign-up tried"
        if best.kinds:
            said = f"with {best.words} {100 * best.share:.0f} % of the days work; {said}"
        self.on_progress(
            Progress("more sign-ups", best.works, best.draws, self.clock.seconds, said)
        )

    def ask(self, kinds: tuple[NewcomerKind, ...], which: Iterable[int] | None) -> list[Answer]:
        """Return an answer for each draw named, all of them by default."""
        problem, new = with_newcomers(self.problem, kinds)
        parties = (*build_parties(self.problem), *(Party((person,)) for person in new))
        days = draw_days(problem, parties, self.draws, self.limits.seed, self.belief)
        asker = DayAsker(self.rules, self.goal, self.clock, likeness_of(problem))
        asker.witnesses = list(self.witnesses)
        answers = []
        for number in range(self.draws) if which is None else which:
            if self.should_stop is not None and self.should_stop():
                self.clock.is_stopped = True
            answers.append(asker.ask(days[number]).answer)
        self.witnesses = asker.witnesses
        return answers


def find_signups(
    problem: RosterProblem,
    rules: Rules,
    goal: Goal,
    limits: Limits,
    *,
    draws: int,
    belief: Belief = COMMON_BELIEF,
    roster: Roster | None = None,
    targets: tuple[float, ...] = TARGETS,
    known: Chance | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> tuple[MoreSignups, ...]:
    """Return the sign-ups that lift the chance to each target, one person after another.

    Args:
        problem: The day with everybody signed up.
        rules: What every rule demands of a problem.
        goal: What the day has to reach, from a `Chance`.
        limits: Wall seconds for everything; the seed of the chance.
        draws: As the chance's.
        belief: As the chance's.
        roster: The roster in hand, to try first on every day.
        targets: Shares of days that should work, rising.
        known: The chance of the same days as they are, so that they are not asked twice.
        on_progress: Called after each kind of newcomer tried.
        should_stop: Polled between days.

    Returns:
        First the day as it is, with no target; then one line for each target
        reached; last, where the highest was not reached, how far it came. Each
        step adds the kind that mends most of the days that fail, the easiest to
        find among equals: the list is enough, not proven to be the least.
    """
    check_problem(problem)
    check_limits(limits)
    witnesses = list(known.witnesses) if known else [] if roster is None else [roster]
    search = _Search(
        problem, rules, goal, limits, draws, belief, Clock(limits), should_stop, on_progress,
        witnesses,
    )  # fmt: skip
    is_known = known is not None and len(known.answers) == draws
    answers = list(known.answers) if known and is_known else search.ask((), None)
    return _add_one_by_one(search, answers, list(targets))


def _add_one_by_one(
    search: _Search, answers: list[Answer], wanted: list[float]
) -> tuple[MoreSignups, ...]:
    """Return a line for the day as it is and for each share reached, each step the best kind."""
    kinds: tuple[NewcomerKind, ...] = ()
    found = [_line(None, (), answers)]
    while True:
        now = _line(None, kinds, answers)
        search.tell(now)
        while wanted and now.share >= wanted[0]:
            found.append(_line(wanted.pop(0), kinds, answers))
        if not wanted or len(kinds) >= MOST_MORE or search.clock.left <= 0:
            break
        better = _best_kind(search, kinds, answers, now)
        if better is None:
            break
        kinds = (*kinds, *better)
        answers = search.ask(kinds, None)
    reached = _line(None, kinds, answers)
    # Where time ran out within the last step, its days were not all asked: it tells nothing.
    if wanted and kinds and found[-1].kinds != kinds and reached.works > found[0].works:
        found.append(reached)
    return tuple(found)


def _line(
    target: float | None, kinds: tuple[NewcomerKind, ...], answers: list[Answer]
) -> MoreSignups:
    works = sum(answer is Answer.YES for answer in answers)
    fails = sum(answer is Answer.NO for answer in answers)
    draws = len(answers)
    return MoreSignups(
        target,
        kinds,
        works,
        draws,
        wilson_interval(works, draws)[0],
        wilson_interval(draws - fails, draws)[1],
    )


def _best_kind(
    search: _Search, kinds: tuple[NewcomerKind, ...], answers: list[Answer], now: MoreSignups
) -> tuple[NewcomerKind, ...] | None:
    """Return the kind that mends most failing days, or two of one kind where one does nothing."""
    failing = [number for number, answer in enumerate(answers) if answer is not Answer.YES]
    looked_at = failing[:GLANCE]
    offered = newcomer_kinds(search.problem)
    for more in (1, 2):
        mended: list[tuple[int, int, NewcomerKind]] = []
        for place, kind in enumerate(offered):
            if search.clock.left <= 0:
                break
            again = search.ask((*kinds, *(kind,) * more), looked_at)
            mended.append((-sum(a is Answer.YES for a in again), place, kind))
            search.tried += 1
            search.tell(now)
        if mended and min(mended)[0] < 0:
            return (min(mended)[2],) * more
    return None
