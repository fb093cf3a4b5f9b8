"""Why work stays undone and people stay free in a finished roster, in short sentences.

Tries what a coordinator would try, one crew at a time: put those who are free
to the work that is left, and see which condition refuses it. Not a proof that
no other roster does more; the bound says how far one could be off. Asks no solver.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.domain.condition import (
    AtLeast,
    Condition,
    Forbid,
    Per,
    Reason,
    ToolsAtMost,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import forbidden_cells, forbidding_reasons
from scheduling.domain.planner.beside import Beside
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.wording import list_words, part_words, plural

MOST_SENTENCES = 15
MOST_WORK = 1_000_000  # conditions × cells looked at over all trials; about half a second
WORK_A_SECOND = 2_000_000
NOT_LOOKED = "there was too much to look into to say why"
NO_UNIT = "with one more there no further whole unit would be finished"
NO_TIME = "everyone who may do it has other work in every round"
SEARCH_LONGER = "no rule was found that stands in the way; a longer search may still fit it in"


def explain_unfilled(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    roster: Roster,
    *,
    most_work: int = MOST_WORK,
) -> tuple[str, ...]:
    """Return why work is left undone and why people are free, grouped by reason.

    Args:
        problem: The day.
        conditions: What holds, locks included or not.
        roster: A roster that breaks nothing.
        most_work: Conditions times cells that may be looked at. A day of 120 people and
            40 tasks takes 0.4 million, one of 300 people and 80 tasks over 3 million; what
            is left when it is used up is said not to have been looked into.

    Returns:
        At most fifteen sentences: required work first; then, where people are
        free, the other work they might do and why each of them is free. Other
        work left while everybody is busy is no news and not told.
    """
    look = _Look(problem, conditions, roster, most_work)
    idle = list(look.idle())
    sentences = list(look.unfinished(required=True))
    if idle:
        sentences += look.unfinished(required=False)
    room = max(3, MOST_SENTENCES - len(sentences))
    if len(idle) > room:
        idle = [*idle[: room - 1], f"{len(idle) - room + 1} more groups of people are free."]
    room = MOST_SENTENCES - len(idle)
    if len(sentences) > room:
        more = len(sentences) - room + 1
        sentences = [*sentences[: room - 1], f"{more} more groups of work are not finished."]
    return (*sentences, *idle)


@dataclass(frozen=True, slots=True)
class Unfilled:
    """Why each person is free in each round, and why each unfinished task is left, one by one."""

    free: tuple[tuple[PersonId, int, str], ...]
    left: tuple[tuple[TaskId, str], ...]


def explain_each(
    problem: RosterProblem, conditions: tuple[Condition, ...], roster: Roster
) -> Unfilled:
    """Return a reason for every free person-round and every task left, ungrouped.

    Args:
        problem: The day.
        conditions: What holds, locks included or not.
        roster: A roster that breaks nothing.
    """
    look = _Look(problem, conditions, roster)
    return Unfilled(
        free=tuple(
            (person, round_, look.why_free(person, round_))
            for round_ in range(problem.rounds)
            for person in look.free[round_]
        ),
        left=tuple(
            (task.id, look.why_left(task)) for task in problem.tasks if look.left[task.id] > 0
        ),
    )


class _Look:
    """One look at a finished roster, with the trials made so far."""

    def __init__(
        self,
        problem: RosterProblem,
        conditions: tuple[Condition, ...],
        roster: Roster,
        most_work: int = MOST_WORK,
    ) -> None:
        self.beside = Beside(problem, conditions, roster, most_work)
        self.problem = problem
        self.conditions = conditions
        self.roster = roster
        self.people = {person.id: person for person in problem.people}
        self.forbidden = forbidden_cells(problem, conditions)
        self.points = {person.id: points_of(problem, person) for person in problem.people}
        busy = {(a.person, a.round) for a in roster.assignments}
        self.free = {
            r: [p.id for p in sorted(problem.people, key=lambda p: p.id)
                if p.present[r] and (p.id, r) not in busy]
            for r in range(problem.rounds)
        }  # fmt: skip
        self.crews: dict[tuple[TaskId, int], list[PersonId]] = {}
        for a in roster.assignments:
            self.crews.setdefault((a.task, a.round), []).append(a.person)
        done: Counter[TaskId] = Counter()
        for part in roster.units:
            done[part.task] += part.units
        self.left = {task.id: task.units - done[task.id] for task in problem.tasks}
        self.done = done
        self.crews_tried: dict[tuple[TaskId, int], str | None] = {}

    def unfinished(self, *, required: bool) -> Iterable[str]:
        """Yield a sentence for each reason that keeps work undone."""
        kept: dict[str, list[str]] = {}
        worth: Counter[str] = Counter()
        for task in self.problem.tasks:
            if task.required == required and self.left[task.id] > 0:
                why = self.why_left(task)
                amount = part_words(self.left[task.id], task.units, task.unit)
                part = f"“{task.name}” ({amount})"
                kept.setdefault(why, []).append(part)
                worth[why] += self.left[task.id] * task.value_per_unit
        head = "Required and not finished" if required else "Not finished"
        for why in sorted(kept, key=lambda why: (-worth[why], why)):
            yield f"{head}: {list_words(kept[why], most=8)}: {why.rstrip('.')}."

    def _may(self, task: TaskId, round_: int) -> list[PersonId]:
        return [p for p in self.free[round_] if (p, task, round_) not in self.forbidden]

    def why_left(self, task: CrewTask) -> str:
        """Return why a task is not finished."""
        able = [
            (p.id, r)
            for p in self.problem.people
            for r in range(self.problem.rounds)
            if p.present[r] and (p.id, task.id, r) not in self.forbidden
        ]
        if not able:
            reasons = forbidding_reasons(self.problem, self.conditions, task.id)
            return "nobody here may do it. " + " ".join(reasons[:2])
        missing = self._missing_skill(task, able)
        if missing is not None:
            return missing.text
        against: Counter[str] = Counter()
        for round_ in range(self.problem.rounds):
            verdict = self._one_more_crew_member(task, round_)
            if verdict is not None:
                against[verdict] += 1
        if SEARCH_LONGER in against:
            is_hole = task.closes is not None or any(
                other.closes == task.id for other in self.problem.tasks
            )
            return "holes are only opened where others are free to close them" * is_hole or (
                SEARCH_LONGER
            )
        return min(against, key=lambda why: (-against[why], why)) if against else NO_TIME

    def _missing_skill(self, task: CrewTask, able: list[tuple[PersonId, int]]) -> Reason | None:
        """Return why a crew is impossible in every round with those who may be in it."""
        for condition in self.conditions:
            if not isinstance(condition, AtLeast) or condition.per is not Per.CREW:
                continue
            if condition.tasks is not None and task.id not in condition.tasks:
                continue
            named = None if condition.people is None else set(condition.people)
            by_round = Counter(r for p, r in able if named is None or p in named)
            if max(by_round.values(), default=0) < condition.least:
                return condition.reason
        return None

    def _one_more_crew_member(self, task: CrewTask, round_: int) -> str | None:
        """Return what refuses more people at a task in a round; None when nobody is free."""
        free = self._may(task.id, round_)
        if not free:
            return None
        crew = self.crews.get((task.id, round_), [])
        if not crew:
            tool = self._tool_in_use(task, round_)
            if tool is not None:
                return tool.text
            parties = [tuple(self._best_first(task, free)[: task.crew_most])]
        else:
            parties = [(person,) for person in free]
        refused: Counter[str] = Counter()
        for party in parties:
            reasons = self.beside.against(tuple((p, task.id, round_) for p in party))
            if reasons is None:
                return NOT_LOOKED
            if not reasons:
                if self._gives_a_unit(task, party):
                    return SEARCH_LONGER
                refused["the time left is too short for one more whole unit"] += 1
            for reason in reasons[:1]:
                refused[f"putting those who are free to it is refused. {reason.text}"] += 1
        return min(refused, key=lambda why: (-refused[why], why)) if refused else None

    def _best_first(self, task: CrewTask, free: list[PersonId]) -> list[PersonId]:
        """Return free people, those first whom most crew conditions of the task ask for."""
        asked: Counter[PersonId] = Counter()
        for condition in self.conditions:
            if (
                isinstance(condition, AtLeast)
                and condition.people is not None
                and (condition.tasks is None or task.id in condition.tasks)
            ):
                asked.update(condition.people)
        return sorted(free, key=lambda p: (-asked[p], not self.people[p].checked, p))

    def _tool_in_use(self, task: CrewTask, round_: int) -> Reason | None:
        for condition in self.conditions:
            if isinstance(condition, ToolsAtMost):
                uses = dict(condition.uses)
                busy = sum(uses.get(t, 0) for t, r in self.crews if r == round_)
                if uses.get(task.id, 0) and busy + uses[task.id] > condition.on_hand:
                    return condition.reason
        return None

    def _gives_a_unit(self, task: CrewTask, party: tuple[PersonId, ...]) -> bool:
        put_in = sum(self.points[a.person] for a in self.roster.assignments if a.task == task.id)
        spare = put_in - self.done[task.id] * task.points_per_unit
        return spare + sum(self.points[p] for p in party) >= task.points_per_unit

    def idle(self) -> Iterable[str]:
        """Yield a sentence for each reason that leaves people free."""
        groups: dict[tuple[str, tuple[PersonId, ...]], list[int]] = {}
        for round_ in range(self.problem.rounds):
            by_reason: dict[str, list[PersonId]] = {}
            for person in self.free[round_]:
                by_reason.setdefault(self.why_free(person, round_), []).append(person)
            for why, people in by_reason.items():
                groups.setdefault((why, tuple(people)), []).append(round_ + 1)
        order = sorted(groups, key=lambda group: (-len(group[1]) * len(groups[group]), group))
        for why, group in order:
            rounds = groups[why, group]
            names = list_words(self._names(group), most=8)
            word = "rounds" if len(rounds) > 1 else "round"
            when = list_words([str(r) for r in rounds], most=len(rounds))
            yield f"Free in {word} {when}: {names}: {why.rstrip('.')}."

    def _names(self, people: tuple[PersonId, ...]) -> list[str]:
        """Return names in order, the pupils of a class as one."""
        classes = {group.id: group.name for group in self.problem.groups}
        named = [self.people[p].name for p in people if self.people[p].group is None]
        pupils = Counter(group for p in people if (group := self.people[p].group) is not None)
        counted = (
            f"{plural(number, 'pupil')} of {classes.get(group, 'a class')}"
            for group, number in sorted(pupils.items())
        )
        return [*counted, *named]

    def _refused_all_round(self, person: PersonId, round_: int) -> str | None:
        for condition in self.conditions:
            if (
                isinstance(condition, Forbid)
                and condition.tasks is None
                and (condition.people is None or person in condition.people)
                and (condition.rounds is None or round_ in condition.rounds)
            ):
                return condition.reason.text
        return None

    def why_free(self, person: PersonId, round_: int) -> str:
        """Return why somebody is free in a round."""
        unfinished = [task for task in self.problem.tasks if self.left[task.id] > 0]
        if not unfinished:
            return "all the work is done"
        may = [t for t in unfinished if (person, t.id, round_) not in self.forbidden]
        if not may:
            return self._refused_all_round(person, round_) or "the work left is not for them"
        refused: Counter[str] = Counter()
        for task in may:
            why = self._why_not_at(person, task, round_)
            if why == SEARCH_LONGER:
                return why
            refused[why] += 1
        return min(refused, key=lambda why: (-refused[why], why))

    def _why_not_at(self, person: PersonId, task: CrewTask, round_: int) -> str:
        """Return why somebody free is not at work they may do in a round."""
        if (task.id, round_) not in self.crews:
            key = (task.id, round_)
            if key not in self.crews_tried:
                self.crews_tried[key] = self._one_more_crew_member(task, round_)
            return self.crews_tried[key] or SEARCH_LONGER
        reasons = self.beside.against(((person, task.id, round_),))
        if reasons is None:
            return NOT_LOOKED
        if reasons:
            return reasons[0].text
        return SEARCH_LONGER if self._gives_a_unit(task, (person,)) else NO_UNIT
