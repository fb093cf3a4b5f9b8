"""The chance that a day still works once it is known who came, with the best repair.

Front door: `estimate_chance`. Days are drawn, each is asked whether some roster
reaches the goal: cheap proofs first, then rosters that worked on other days,
then the solver. What ran out of time is counted apart. Not for which sign-ups
would help (`more_signups`), and not for one day's repair (`repair`).
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from scheduling.domain.attendance import COMMON_BELIEF, Belief
from scheduling.domain.condition import binding_conditions
from scheduling.domain.day_events import Rules
from scheduling.domain.hand_edit import fit_units
from scheduling.domain.people import PersonId
from scheduling.domain.planner.goal import (
    Answer,
    Conditions,
    Goal,
    Reached,
    kept_goal,
    reach_goal,
    required_goal,
    without_people,
)
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.turnout import Party, build_parties, draw_turnout, wilson_interval
from scheduling.domain.verify import find_violations

DRAWS = 200
MOST_WITNESSES = 12
SECONDS_PER_DAY = 1.5  # for one drawn day; beyond it the day counts as undecided
_FIGURES = re.compile(r"(?<![\w“])\d+")
NO_ROSTER = "no roster of those who came does the work that must be done"


@dataclass(frozen=True, slots=True)
class Chance:
    """An estimate by sampling, never more exact than its interval.

    Of `wished` days `draws` were drawn and asked before time ran out or somebody
    stopped it. Of these `works` have a roster that obeys every rule and does the
    work that must be done, `fails` have none for certain, the others were not
    settled in the time a day gets. `stands` of them work with nobody moved.
    `low` and `high` bound the chance at 95 %, with undecided days counted
    against it and for it. `obstacles` say why days fail, the most frequent first.
    `answers` and `witnesses` are for whoever asks the same days again.
    """

    draws: int
    works: int
    fails: int
    stands: int
    low: float
    high: float
    stands_low: float
    stands_high: float
    obstacles: tuple[tuple[str, int], ...]
    seconds: float
    seed: int
    goal: Goal
    wished: int = 0
    answers: tuple[Answer, ...] = ()
    witnesses: tuple[Roster, ...] = ()

    @property
    def undecided(self) -> int:
        """Days that time did not allow to settle."""
        return self.draws - self.works - self.fails

    @property
    def share(self) -> float | None:
        """The part of the settled days that work; None without any."""
        settled = self.works + self.fails
        return self.works / settled if settled else None


Likeness = dict[PersonId, str]


@dataclass(slots=True)
class DayAsker:
    """Answers for drawn days, remembered by who came, with rosters that worked before.

    `likeness` says of everybody who may come what rules and work can see of them.
    """

    rules: Rules
    goal: Goal
    clock: Clock
    likeness: Likeness
    witnesses: list[Roster] = field(default_factory=list)
    known: dict[tuple[str, ...], Reached] = field(default_factory=dict)

    def ask(self, problem: RosterProblem) -> Reached:
        """Say whether the day of those who came can be made to work."""
        key = self._key(problem)
        if key not in self.known:
            found = self._find(problem)
            if found.answer is Answer.UNDECIDED:
                return found
            self.known[key] = found
        return self.known[key]

    def note_that_works(self, problem: RosterProblem, roster: Roster) -> None:
        """Remember a day that is known to work, with its roster."""
        self.known[self._key(problem)] = Reached(Answer.YES, roster)

    def _key(self, problem: RosterProblem) -> tuple[str, ...]:
        return tuple(sorted(self.likeness[person.id] for person in problem.people))

    def _find(self, problem: RosterProblem) -> Reached:
        tries = [stand_in(problem, witness, self.likeness) for witness in self.witnesses]
        # What the rules ask of a day takes long to build: first who does the work at all.
        able = [number for number, tried in enumerate(tries) if reaches(tried, self.goal)]
        conditions = self.rules(problem)
        for number in able:
            if obeys(problem, conditions, tries[number]):
                self._remember(self.witnesses[number])
                return Reached(Answer.YES, tries[number])
        seconds = min(SECONDS_PER_DAY, self.clock.left)
        if seconds <= 0:
            return Reached(Answer.UNDECIDED)
        start = stand_in(problem, self.witnesses[0], self.likeness) if self.witnesses else None
        found = reach_goal(problem, conditions, self.goal, self.clock, seconds=seconds, start=start)
        if found.roster is not None:
            self._remember(found.roster)
        return found

    def _remember(self, witness: Roster) -> None:
        """Keep what worked last in front."""
        others = [roster for roster in self.witnesses if roster is not witness]
        self.witnesses = [witness, *others][:MOST_WITNESSES]


def likeness_of(problem: RosterProblem) -> Likeness:
    """Return what rules and work can see of each person: two alike may stand in for each other.

    Somebody another person or a lock names by number is like nobody else.
    """
    named = {person.guardian for person in problem.people} | {lock[0] for lock in problem.locks}
    return {
        person.id: f"{person.id}" if person.id in named else repr(_seen_by_rules(person))
        for person in problem.people
    }


def _seen_by_rules(person: Person) -> Person:
    """Return a person without name, number and what counts for comfort alone."""
    return replace(
        person,
        id=PersonId(0),
        name="",
        preferences=(),
        wished_skills=(),
        heavy_liking=0,
        companions=(),
        past=None,
        experience=0,
    )


def stand_in(problem: RosterProblem, witness: Roster, likeness: Likeness) -> Roster:
    """Return a roster of another day with those absent replaced by somebody alike and free.

    Args:
        problem: The day of those who came.
        witness: A roster that may name people who did not come.
        likeness: Of everybody, from `likeness_of`.

    Returns:
        The roster without whom nobody can stand in for, and without units its
        crews have no time for.
    """
    here = {person.id for person in problem.people}
    used = {cell.person for cell in witness.assignments}
    free: dict[str, list[PersonId]] = {}
    for person in sorted(here - used, reverse=True):
        free.setdefault(likeness[person], []).append(person)
    instead: dict[PersonId, PersonId] = {}
    for person in sorted(used - here):
        alike = free.get(likeness.get(person, ""), [])
        if alike:
            instead[person] = alike.pop()
    cells = [
        Assignment(instead.get(cell.person, cell.person), cell.round, cell.task)
        for cell in witness.assignments
        if cell.person in here or cell.person in instead
    ]
    cells.sort(key=lambda cell: (cell.person, cell.round))
    return fit_units(problem, Roster(tuple(cells), witness.units))


def does_the_work(
    problem: RosterProblem, conditions: Conditions, roster: Roster, goal: Goal
) -> bool:
    """Say whether a roster reaches the goal and breaks nothing that blocks, locks included."""
    return reaches(roster, goal) and obeys(problem, conditions, roster)


def reaches(roster: Roster, goal: Goal) -> bool:
    """Say whether a roster finishes the units of a goal."""
    done: dict[int, int] = {}
    for line in roster.units:
        done[line.task] = done.get(line.task, 0) + line.units
    return all(done.get(task, 0) >= units for task, units in goal)


def obeys(problem: RosterProblem, conditions: Conditions, roster: Roster) -> bool:
    """Say whether a roster breaks nothing that blocks, locks included."""
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    return not find_violations(problem, binding, roster)


def estimate_chance(
    problem: RosterProblem,
    rules: Rules,
    roster: Roster | None,
    limits: Limits,
    *,
    draws: int = DRAWS,
    belief: Belief = COMMON_BELIEF,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Chance:
    """Return how likely the day still works once it is known who came.

    Args:
        problem: The day with everybody signed up.
        rules: What every rule demands of a problem, usually `rules.all_conditions`.
        roster: The roster in hand: the day works when as much of the work that
            must be done gets done as in it. None asks for all of that work.
        limits: Wall seconds for everything, seed of the draws, threads.
        draws: Days to draw.
        belief: About turning up.
        on_progress: Called after each day with the share that works so far.
        should_stop: Polled between days; days not asked by then are not counted.

    Returns:
        The estimate, from the days there was time for. Days of people alike are
        asked once.

    Raises:
        RosterError: If problem or limits contradict themselves.
    """
    check_problem(problem)
    check_limits(limits)
    goal = required_goal(problem) if roster is None else kept_goal(problem, roster)
    asker = DayAsker(rules, goal, Clock(limits), likeness_of(problem))
    if roster is not None:
        asker.witnesses.append(roster)
    days = draw_days(problem, build_parties(problem), draws, limits.seed, belief)
    answers: list[Reached] = []
    stands = 0
    for day in days:
        if asker.clock.left <= 0 or (should_stop is not None and should_stop()):
            break
        stands += _stands(day, asker, roster)
        answers.append(asker.ask(day))
        if on_progress is not None:
            on_progress(_tell(answers, draws, asker.clock))
    return _sum_up(answers, stands, asker, limits, draws)


def _tell(answers: list[Reached], wished: int, clock: Clock) -> Progress:
    """Return how far the drawing is: the share so far, with what it may be at 95 %."""
    works = sum(found.answer is Answer.YES for found in answers)
    fails = sum(found.answer is Answer.NO for found in answers)
    asked = len(answers)
    low, high = _interval(works, fails, asked)
    said = f"{asked} of {wished} days drawn"
    if works + fails:
        said += (
            f"; {100 * works / (works + fails):.0f} % of them work so far, between "
            f"{100 * low:.0f} and {100 * high:.0f} % with 95 % certainty"
        )
    if undecided := asked - works - fails:
        said += f"; {undecided} not settled"
    return Progress("days drawn", works, wished, clock.seconds, said)


def _interval(works: int, fails: int, asked: int) -> tuple[float, float]:
    """Return the bounds of the chance, days not settled counted both ways; 0 to 1 without days."""
    if not asked:
        return 0.0, 1.0
    return wilson_interval(works, asked)[0], wilson_interval(asked - fails, asked)[1]


def draw_days(
    problem: RosterProblem, parties: tuple[Party, ...], draws: int, seed: int, belief: Belief
) -> tuple[RosterProblem, ...]:
    """Return the problem of those who came, once for each draw."""
    comes = draw_turnout(
        parties, draws=draws, seed=seed, singles=belief.singles, classes=belief.classes
    )
    return tuple(
        without_people(
            problem,
            frozenset(
                person
                for party, here in zip(parties, row, strict=True)
                if not here
                for person in party.people
            ),
        )
        for row in comes
    )


def _stands(day: RosterProblem, asker: DayAsker, roster: Roster | None) -> bool:
    """Say whether the roster in hand works with nobody moved: absent people only left out."""
    if roster is None:
        return False
    here = {person.id for person in day.people}
    kept = tuple(cell for cell in roster.assignments if cell.person in here)
    left = fit_units(day, Roster(kept, roster.units))
    if not reaches(left, asker.goal) or not obeys(day, asker.rules(day), left):
        return False
    asker.note_that_works(day, left)
    return True


def _sum_up(
    answers: list[Reached], stands: int, asker: DayAsker, limits: Limits, wished: int
) -> Chance:
    works = sum(found.answer is Answer.YES for found in answers)
    fails = [found for found in answers if found.answer is Answer.NO]
    draws = len(answers)
    low, high = _interval(works, len(fails), draws)
    stands_low, stands_high = wilson_interval(stands, draws) if draws else (0.0, 1.0)
    return Chance(
        draws=draws,
        works=works,
        fails=len(fails),
        stands=stands,
        low=low,
        high=high,
        stands_low=stands_low,
        stands_high=stands_high,
        obstacles=_count_obstacles(found.why for found in fails),
        seconds=round(asker.clock.seconds, 3),
        seed=limits.seed,
        goal=asker.goal,
        wished=wished,
        answers=tuple(found.answer for found in answers),
        witnesses=tuple(asker.witnesses),
    )


def _count_obstacles(reasons: Iterable[str]) -> tuple[tuple[str, int], ...]:
    """Count days by why they fail; reasons that differ by their figures alone are one."""
    alike: dict[str, dict[str, int]] = {}
    for why in reasons:
        said = alike.setdefault(_FIGURES.sub("#", why or NO_ROSTER), {})
        said[why or NO_ROSTER] = said.get(why or NO_ROSTER, 0) + 1
    counted = []
    for said in alike.values():
        often = min(said, key=lambda why: (-said[why], why))
        words = f"such as: {often}" if len(said) > 1 else often
        counted.append((words, sum(said.values())))
    return tuple(sorted(counted, key=lambda each: (-each[1], each[0])))
