"""A load lifted by hand stays within the lifting index the site allows, and within young caps.

For adults by the lifting equation where it applies; it is silent about shovels,
barrows, augers, kneeling, one hand and people under 18. Above the index a lift
is assessed, not forbidden.
"""

from scheduling.domain.condition import Condition, Forbid, Notice, Reason, Severity
from scheduling.domain.lifting import judge_lift
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import CrewTask, HandLift, RosterProblem
from scheduling.domain.rule_set import LoadCaps
from scheduling.domain.strictest import figure_at


class LiftingIndex:
    """Loads lifted by hand."""

    code = "LIF-1"
    sentence = (
        "A load lifted by hand stays within the lifting index the site allows, and within young "
        "caps."
    )
    source = "NIOSH 94-110, Applications Manual for the Revised NIOSH Lifting Equation, rev. 2021"
    status = "reprint"
    waivable = False
    applies_to = "tasks with a stated lift"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a warning for each lift to assess, and refusals of those too young for it."""
        caps = problem.policy.loads
        if caps is None:
            return ()
        found: list[Condition] = []
        for task in problem.tasks:
            for lift in task.lifts:
                found += self._for_adults(problem, task, lift, caps)
                found += self._for_young(problem, task, lift, caps)
        return tuple(found)

    def _for_adults(
        self, problem: RosterProblem, task: CrewTask, lift: HandLift, caps: LoadCaps
    ) -> list[Condition]:
        verdict = judge_lift(lift.load_kg, lift.lift, age=ADULT_AGE, work=lift.work)
        within = verdict.index is not None and verdict.index <= caps.lifting_index_most
        if verdict.applies and within:
            return []
        severity = Severity.WARNS if verdict.applies else Severity.NOTES
        text = f"“{task.title}”, a load of {lift.load_kg:g} kg: {verdict.because}"
        remedy = "Make the load smaller, bring it nearer, or lift it with two."
        source = problem.policy.cite("loads.lifting_index_most")
        return [Notice(Reason(self.code, text, source, remedy, severity), task=task.id)]

    def _for_young(
        self, problem: RosterProblem, task: CrewTask, lift: HandLift, caps: LoadCaps
    ) -> list[Condition]:
        refused = tuple(
            person.id
            for person in problem.people
            if person.is_young and figure_at(caps.carry_kg, person.age) < lift.load_kg
        )
        if not refused:
            return []
        text = f"“{task.title}” lifts {lift.load_kg:g} kg, more than people of this age carry."
        remedy = "Make the load smaller, or give them other work."
        source = problem.policy.cite("loads.carry_kg")
        return [Forbid(Reason(self.code, text, source, remedy), refused, (task.id,))]
