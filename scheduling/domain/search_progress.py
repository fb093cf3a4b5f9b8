"""How far a search is, as a person reads it: its stages, the best so far, the bound.

Front doors: `note_stage` while it runs, `StageSeen`'s words for a page or a
terminal, `digest_problem` to know a stale answer. Not for searching or keeping.
"""

from dataclasses import dataclass, replace
from hashlib import sha256

from scheduling.domain.planner.progress import Progress
from scheduling.domain.problem import RosterProblem
from scheduling.domain.season import PlannedUnits, SeasonProblem

STAGE_WORDS = {
    "required work left undone": "Getting done what must be done",
    "other work done": "Other work for the hands that are free",
    "changes from the published roster": "Keeping what people were told",
    "comfort": "Fair and comfortable crews",
    "the same roster every time": "Of equally good rosters, the one every search finds",
    "any roster": "Any roster that obeys all rules",
    "work by the outline's crews": "Naming people for the crews that get most work done",
    "season": "Giving the work to the sessions",
    "whole season": "Giving the work to the sessions",
    "holes left open": "Filling the holes that stand open",
    "young people waiting alone": "Leaving no young person waiting alone",
    "required work left undone, then changes": "Doing what must be done, with few changes",
    "days drawn": "Drawing days and asking each whether it works",
    "more sign-ups": "Trying which sign-ups would help",
    "reasons": "Asking what keeps the work from being done, and what would mend it",
    "days compared": "Trying one more of each",
    "spare hands": "Trying one wish after another",
    "season as it is": "Searching the plan at hand further, without any change",
    "season changes": "Trying one change after another",
}

FIGURE_WORDS = {
    "required work left undone": "points of work left: priority × minutes",
    "other work done": "points of work done: priority × minutes",
    "changes from the published roster": "places changed",
    "comfort": "points of comfort",
    "season": "points of work: priority × minutes, sooner is worth more",
    "whole season": "points of work: priority × minutes, sooner is worth more",
}


@dataclass(frozen=True, slots=True)
class StageSeen:
    """One stage of a search as last heard of it; value and bound in the stage's own figure.

    `said` is the best so far in words, where the stage tells it in words.
    """

    stage: str
    value: int | None
    bound: int | None
    seconds: float
    said: str = ""

    @property
    def title(self) -> str:
        """What the stage is after, in words."""
        return STAGE_WORDS.get(self.stage, self.stage[:1].upper() + self.stage[1:])

    @property
    def figure(self) -> str:
        """What the value and the bound count, in words; empty where that helps nobody."""
        return FIGURE_WORDS.get(self.stage, "")

    @property
    def wants_more(self) -> bool:
        """Whether more is better: then the bound is never below the value."""
        return self.value is None or self.bound is None or self.bound >= self.value

    @property
    def is_proven(self) -> bool:
        """Whether nothing better than the value is possible."""
        return self.value is not None and self.value == self.bound

    @property
    def gap_percent(self) -> float | None:
        """How far the value may be below the best possible, in percent of the bound.

        None where that says nothing: without a value, where less is better, and
        where the best possible is not above 0.
        """
        if self.value is None or self.bound is None or not self.wants_more or self.bound <= 0:
            return None
        return 100 * (self.bound - self.value) / self.bound

    @property
    def worth(self) -> str:
        """How good the best so far is known to be, in words."""
        if self.said:
            return self.said
        if self.value is None:
            return "nothing found yet"
        if self.bound is None:
            return "how good that is cannot be said yet"
        if self.is_proven:
            return "proven: nothing better is possible"
        gap = self.gap_percent
        if gap is not None:
            return f"at most {_percent(gap)} % below the best possible"
        if self.wants_more:
            return f"at most {self.bound - self.value:,} below the best possible"
        return f"at most {self.value - self.bound:,} above the least possible"


def _percent(gap: float) -> str:
    """Return a share that is not 0 as one that does not look like it."""
    return "0.1" if gap < 0.1 else f"{gap:.1f}"


def note_stage(stages: tuple[StageSeen, ...], heard: Progress) -> tuple[StageSeen, ...]:
    """Return the stages with what was heard last.

    Args:
        stages: What was heard so far, in order.
        heard: Of the stage under way; another name begins another stage.

    Returns:
        The stages, the last of them with the newest value, bound and seconds. A
        figure the search did not repeat stays known.
    """
    now = StageSeen(heard.stage, heard.value, heard.bound, heard.seconds, heard.said)
    if not stages or stages[-1].stage != heard.stage:
        return (*stages, now)
    before = stages[-1]
    known = replace(
        now,
        value=before.value if now.value is None else now.value,
        bound=before.bound if now.bound is None else now.bound,
        said=now.said or before.said,
    )
    return (*stages[:-1], known)


def digest_problem(
    problem: RosterProblem | SeasonProblem, promised: tuple[PlannedUnits, ...] = ()
) -> str:
    """Return 64 hexadecimal digits that are the same while the problem is.

    Args:
        problem: What was searched. What was published is left out: publishing an
            answer does not make it an answer to another question.
        promised: Of a season, the units that stay where they are.
    """
    asked = replace(problem, published=()) if isinstance(problem, RosterProblem) else problem
    return sha256(repr((asked, promised)).encode()).hexdigest()
