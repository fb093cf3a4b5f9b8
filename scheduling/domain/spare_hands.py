"""Spare hands that a coordinator may wish a roster to have, as conditions that give way.

Front door: `build_wishes`. A wish is a condition like a rule's, but none is ever a
safety rule, and what it costs is for `planner.robust` to say. Knows no solver.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from scheduling.domain.condition import AtLeast, AtMost, Condition, Per, Reason, ToolsAtMost
from scheduling.domain.first_aid import first_aiders_here, first_aiders_needed
from scheduling.domain.people import PersonId
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.wording import plural

WISH_RULE = "WISH"


class Spare(StrEnum):
    """The kinds of wishes, as a form names them."""

    LEAD = "lead"
    FIRST_AID = "first aid"
    ZONE = "zone"
    CREW = "crew"


SPARE_WORDS: dict[Spare, str] = {
    Spare.LEAD: "A crew lead to spare in every round",
    Spare.FIRST_AID: "A first aider more than must be free: two, where one must",
    Spare.ZONE: "A second pair of hands for each skill in the same zone",
    Spare.CREW: "A second pair of hands for each skill in the same crew",
}


@dataclass(frozen=True, slots=True)
class Wish:
    """One wish: its kind, in words, and what it asks of a roster."""

    kind: Spare
    words: str
    conditions: tuple[Condition, ...]


def build_wishes(
    problem: RosterProblem, kinds: Collection[Spare] = tuple(Spare)
) -> tuple[Wish, ...]:
    """Return the wishes a day could have, the most important first.

    A lead to spare, one more first aider than must be free, and for each skill the
    work asks for a second hand in the same zone and one in the same crew.

    Args:
        problem: The day; a wish that its people could never grant is left out.
        kinds: Those wished for.
    """
    wishes = [_spare_lead(problem), _spare_first_aider(problem)]
    for skill in sorted({n.skill for t in problem.tasks if t.required for n in t.skills}):
        wishes += [_second_in_zone(problem, skill), _second_hand(problem, skill)]
    return tuple(wish for wish in wishes if wish is not None and wish.kind in kinds)


def _spare_lead(problem: RosterProblem) -> Wish | None:
    leads = [
        p for p in problem.people if not p.is_young and p.holds(problem.lead_skill, problem.on)
    ]
    there = min((sum(p.present[r] for p in leads) for r in range(problem.rounds)), default=0)
    if there < 2:
        return None
    # A lead for each crew is like a tool for each: one of them stays in the store.
    uses = tuple((task.id, 1) for task in problem.tasks)
    text = f"{plural(there - 1, 'crew')} at most at once, so that one crew lead is to spare."
    spare = ToolsAtMost(_reason(text), problem.lead_skill, there - 1, uses)
    return Wish(Spare.LEAD, SPARE_WORDS[Spare.LEAD], (spare,))


def _spare_first_aider(problem: RosterProblem) -> Wish | None:
    """Wish for one first aider more than must be free; there where somebody works at all."""
    powered = powered_tasks(problem)
    hard = tuple(task.id for task in problem.tasks if task.heavy or task in powered)
    found: list[Condition] = []
    most = 0
    for round_ in range(problem.rounds):
        here = sum(person.present[round_] for person in problem.people)
        aiders = tuple(person.id for person in first_aiders_here(problem, round_))
        wanted = first_aiders_needed(problem, here) + 1
        if here and len(aiders) < wanted:
            return None
        if here:
            most = max(most, wanted)
            text = (
                f"In round {round_ + 1}, {wanted} first aiders are free of heavy and powered work."
            )
            found.append(
                AtMost(_reason(text), len(aiders) - wanted, aiders, hard, Per.ROUND, (round_,))
            )
    if not hard or not found:
        return None  # granted by every roster
    words = f"{_number(most)} first aiders free of heavy and powered work in every round"
    return Wish(Spare.FIRST_AID, words, tuple(found))


def _number(count: int) -> str:
    return "Two" if count == 2 else str(count)


def _second_in_zone(problem: RosterProblem, skill: str) -> Wish | None:
    """Wish for a second hand at such work in each zone, in the crew or in one beside it.

    Assumes:
        Who is signed off counts at work that asks for the skill: what they do
        elsewhere in the zone is not seen by a condition of one kind of cell.
    """
    found: list[Condition] = []
    able, is_same = _able(problem, skill), True
    for zone in sorted({task.zone for task in problem.tasks if task.required}):
        at = [t for t in problem.tasks if t.zone == zone and _asks(t, skill)]
        if not any(task.required for task in at):
            continue
        is_same &= len(at) == 1
        wanted = max(_asks(task, skill) for task in at) + 1
        if len(able) >= wanted and sum(task.crew_most for task in at) >= wanted:
            text = f"In zone {zone}, {wanted} signed off for {_plain(skill)} are at such work."
            tasks = tuple(task.id for task in at)
            found.append(AtLeast(_reason(text), wanted, able, tasks, Per.ZONE))
    words = f"A second pair of hands signed off for {_plain(skill)} in the same zone"
    # With one such task in each zone, its crew is all there is to wish for.
    return Wish(Spare.ZONE, words, tuple(found)) if found and not is_same else None


def _second_hand(problem: RosterProblem, skill: str) -> Wish | None:
    able = _able(problem, skill)
    found: list[Condition] = []
    for task in problem.tasks:
        needed = _asks(task, skill)
        if task.required and needed and needed < min(len(able), task.crew_most):
            text = (
                f"A crew at “{task.name}” has one more signed off for {_plain(skill)} than it must."
            )
            found.append(AtLeast(_reason(text), needed + 1, able, (task.id,), Per.CREW))
    words = f"A second pair of hands signed off for {_plain(skill)} in the crew"
    return Wish(Spare.CREW, words, tuple(found)) if found else None


def _asks(task: CrewTask, skill: str) -> int:
    return max((need.count for need in task.skills if need.skill == skill), default=0)


def _able(problem: RosterProblem, skill: str) -> tuple[PersonId, ...]:
    return tuple(person.id for person in problem.people if person.holds(skill, problem.on))


def _plain(skill: str) -> str:
    return skill.replace("_", " ")


def _reason(text: str) -> Reason:
    return Reason(WISH_RULE, text, "the coordinator's wish")


def write_spare(kinds: Collection[Spare]) -> dict[str, Any]:
    """Return the wishes as they are kept with the question."""
    return {"spare": [str(kind) for kind in Spare if kind in kinds]}


def read_spare(asked: Mapping[str, Any]) -> tuple[Spare, ...]:
    """Return the wishes of a question; all of them where it names none."""
    named = asked.get("spare") or ()
    return tuple(kind for kind in Spare if kind in named) or tuple(Spare)
