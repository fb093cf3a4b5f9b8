"""The smallest changes to a roster that would clear a finding, each tried before it is said.

Front doors: `find_remedy`, `add_remedies`. A change is judged again with
`verify`: it counts only when the finding is gone and nothing that blocks is new
or worse. Nothing is changed here, and not for finding a good roster: the
planner's. The work is bounded and the answer always the same.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from scheduling.domain.condition import Condition, Severity, binding_conditions
from scheduling.domain.hand_edit import fit_units, move_person
from scheduling.domain.headcount import with_more_adults
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.roster_shape import known_cells
from scheduling.domain.rule import Finding
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from scheduling.domain.wording import list_words, number_words

MOST_MOVED = 3
MOST_BROUGHT = 2
MOST_TRIALS = 120  # rosters judged for one finding
MOST_FINDINGS = 12  # findings of one roster that are worked on

ROUND_WIDE = frozenset({"SUP-1", "SUP-2", "SUP-3", "SUP-4", "FA-1"})

Move = tuple[PersonId, int, TaskId | None]  # who, in which round, to which task or none
Gaps = dict[tuple[str, str], int]


@dataclass(frozen=True, slots=True)
class _Change:
    """A set of moves and how it is said; fewer people first."""

    moves: tuple[Move, ...]
    words: str


class _Trial:
    """One roster and the findings that block it, for trying changes against."""

    def __init__(
        self, problem: RosterProblem, conditions: tuple[Condition, ...], roster: Roster
    ) -> None:
        self.problem = problem
        self.conditions = binding_conditions(conditions)
        self.roster = roster
        self.names = {person.id: person.name for person in problem.people}
        self.titles = {task.id: task.name for task in problem.tasks}
        self.ages = {person.id: person.age for person in problem.people}
        # Somebody who left since, or work that went, cannot be moved: only what is known can.
        self.cells = known_cells(problem, roster)
        self.at = {(cell.person, cell.round): cell.task for cell in self.cells}
        self.before = _gaps(find_violations(problem, self.conditions, roster))
        self.left = MOST_TRIALS
        self.after: dict[tuple[Move, ...], Gaps] = {}  # of changes that were judged whole

    def clears(self, finding: Finding, change: _Change) -> bool:
        """Say whether a change of places clears the finding and makes nothing worse."""
        if self.left <= 0:
            return False
        self.left -= 1
        if change.moves in self.after:
            return self._better(finding, self.after[change.moves])
        tried = self.roster
        for who, round_, task in change.moves:
            tried = move_person(self.problem, tried, who, round_, task)
        # Most changes leave the finding where it is: its own rule alone says so, and soon.
        own = tuple(c for c in self.conditions if c.reason.rule == finding.rule)
        if _key(finding) in _gaps(find_violations(self.problem, own, tried)):
            return False
        after = _gaps(find_violations(self.problem, self.conditions, tried))
        self.after[change.moves] = after
        return self._better(finding, after)

    def clears_with(self, finding: Finding, more: int, task: TaskId, round_: int) -> bool:
        """Say whether so many more checked adults in a crew clear the finding."""
        problem = with_more_adults(self.problem, more, "")
        known = set(self.names)
        new = [person.id for person in problem.people if person.id not in known]
        cells = [Assignment(person, round_, task) for person in new]
        roster = fit_units(problem, Roster((*self.roster.assignments, *cells), self.roster.units))
        conditions = binding_conditions(all_conditions(problem))
        return self._better(finding, _gaps(find_violations(problem, conditions, roster)))

    def _better(self, finding: Finding, after: Gaps) -> bool:
        if _key(finding) in after:
            return False
        return all(key in self.before and gap <= self.before[key] for key, gap in after.items())


def _key(finding: Finding) -> tuple[str, str]:
    """Return the rule and the place of a finding, which stands before its text's first colon."""
    return (finding.rule, finding.text.split(": ", 1)[0])


def _gaps(findings: Iterable[Finding]) -> Gaps:
    gaps: Gaps = {}
    for finding in findings:
        if finding.severity is Severity.BLOCKS:
            gap = abs((finding.required or 0) - (finding.found or 0))
            gaps[_key(finding)] = max(gap, gaps.get(_key(finding), 0))
    return gaps


def add_remedies(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    roster: Roster,
    findings: tuple[Finding, ...],
) -> tuple[Finding, ...]:
    """Return the findings, those that block with the smallest change that clears each.

    Args:
        problem: The day.
        conditions: What holds, usually `rules.all_conditions(problem)`.
        roster: The roster they were found in.
        findings: Of this roster, what hurts most first.

    Returns:
        The same findings in the same order. The first few that block say what
        was tried and clears them; where nothing small does, the rule's own
        remedy stays.
    """
    trial = _Trial(problem, conditions, roster)
    told: list[Finding] = []
    worked_on = 0
    for finding in findings:
        if finding.severity is Severity.BLOCKS and worked_on < MOST_FINDINGS:
            worked_on += 1
            words = _remedy(trial, finding)
            told.append(replace(finding, remedy=words) if words else finding)
        else:
            told.append(finding)
    return tuple(told)


def find_remedy(
    problem: RosterProblem, conditions: tuple[Condition, ...], roster: Roster, finding: Finding
) -> str:
    """Return the smallest change that clears a finding, as a sentence, or "".

    Args:
        problem: The day.
        conditions: What holds, usually `rules.all_conditions(problem)`.
        roster: The roster it was found in.
        finding: One that blocks.

    Returns:
        "One more checked adult at “Weed T1” in round 2, or move Ela and Bence
        to “Mulch T4”.", each half only where it was tried and clears.
    """
    return _remedy(_Trial(problem, conditions, roster), finding)


def _remedy(trial: _Trial, finding: Finding) -> str:
    trial.left = MOST_TRIALS
    parts = [_brought(trial, finding), _moved(trial, finding)]
    words = ", or ".join(part for part in parts if part)
    return f"{words[0].upper()}{words[1:]}." if words else ""


# --- somebody more ---------------------------------------------------------


def _brought(trial: _Trial, finding: Finding) -> str:
    if finding.rule not in ROUND_WIDE or finding.round is None:
        return ""
    for more in range(1, MOST_BROUGHT + 1):
        for task in _crews_concerned(trial, finding):
            if trial.clears_with(finding, more, task, finding.round):
                plural = "s" if more > 1 else ""
                return (
                    f"{number_words(more)} more checked adult{plural} at "
                    f"“{trial.titles[task]}” in round {finding.round + 1}"
                )
    return ""


def _crews_concerned(trial: _Trial, finding: Finding) -> list[TaskId]:
    if finding.task is not None:
        return [finding.task]
    concerned = {
        trial.at[person, finding.round]
        for person in finding.people
        if finding.round is not None and (person, finding.round) in trial.at
    }
    return sorted(concerned)[:3]


# --- people moved ----------------------------------------------------------


def _moved(trial: _Trial, finding: Finding) -> str:
    for change in _changes(trial, finding):
        if trial.clears(finding, change):
            return change.words
        if trial.left <= 0:
            break
    return ""


def _changes(trial: _Trial, finding: Finding) -> Iterator[_Change]:
    """Yield changes, one person moved first, then swaps, then two and three people."""
    spots = sorted(
        {
            (cell.round, cell.task)
            for cell in trial.cells
            if cell.person in finding.people
            and finding.task in (None, cell.task)
            and finding.round in (None, cell.round)
        }
    )
    for round_, task in spots:
        yield from _into(trial, finding, round_, task)
    for size in range(1, MOST_MOVED + 1):
        for round_, task in spots:
            yield from _out_of(trial, finding, round_, task, size)
        if size == 1:
            for round_, task in spots:
                yield from _swaps(trial, finding, round_, task)


def _into(trial: _Trial, finding: Finding, round_: int, task: TaskId) -> Iterator[_Change]:
    """Yield one adult more from those free in the round, then from the other crews."""
    if finding.required is None or (finding.found or 0) >= finding.required:
        return
    here = [p for p in trial.problem.people if p.present[round_]]
    grown = [p for p in here if not p.is_young and trial.at.get((p.id, round_)) != task]
    free = [p.id for p in grown if (p.id, round_) not in trial.at]
    busy = [p.id for p in grown if (p.id, round_) in trial.at]
    for who in sorted(free):
        words = f"put {trial.names[who]}, who is free, to “{trial.titles[task]}” in round"
        yield _Change(((who, round_, task),), f"{words} {round_ + 1}")
    for who in sorted(busy):
        words = f"move {trial.names[who]} to “{trial.titles[task]}” in round {round_ + 1}"
        yield _Change(((who, round_, task),), words)


def _out_of(
    trial: _Trial, finding: Finding, round_: int, task: TaskId, size: int
) -> Iterator[_Change]:
    """Yield so many of those concerned in another crew of the round, then without a task."""
    concerned = [p for p in finding.people if trial.at.get((p, round_)) == task]
    crews = sorted({t for (_, r), t in trial.at.items() if r == round_ and t != task})
    by_age = sorted(concerned, key=lambda p: (trial.ages[p], p))
    parties = [tuple(by_age[:size]), tuple(sorted(concerned)[-size:])]
    if size == 1:
        parties = [(person,) for person in by_age]
    if len(concerned) < size:
        return
    for target in (*crews, None):
        for party in dict.fromkeys(parties):
            who = list_words([trial.names[p] for p in sorted(party)], most=MOST_MOVED)
            where = f" in round {round_ + 1}"
            words = (
                f"leave {who} without a task{where}"
                if target is None
                else f"move {who} to “{trial.titles[target]}”{where}"
            )
            yield _Change(tuple((p, round_, target) for p in sorted(party)), words)


def _swaps(trial: _Trial, finding: Finding, round_: int, task: TaskId) -> Iterator[_Change]:
    """Yield one of those concerned changed with one of another crew in the same round."""
    concerned = sorted(p for p in finding.people if trial.at.get((p, round_)) == task)
    others = sorted((p, t) for (p, r), t in trial.at.items() if r == round_ and t != task)
    for person in concerned[:4]:
        for other, there in others:
            words = (
                f"let {trial.names[person]} (“{trial.titles[task]}”) and {trial.names[other]} "
                f"(“{trial.titles[there]}”) change places in round {round_ + 1}"
            )
            yield _Change(((person, round_, there), (other, round_, task)), words)
