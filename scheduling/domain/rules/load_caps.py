"""Nobody carries or wheels more than people of their age may, and each task says how full.

Caps hold by age alone: no sex and no body weight is asked. What a barrow or a
bucket may hold is told in litres of the task's own material.
"""

from scheduling.domain.condition import Condition, Forbid, Notice, Reason, Severity
from scheduling.domain.loads import barrow_litres
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.rule_set import EVERY_AGE, ByAge, LoadCaps
from scheduling.domain.strictest import figure_at

BARROW = "wheelbarrow"  # the matrix's row
BARROW_TOOL = "barrow"  # the store's code, where no matrix is adopted


class CarryingByAge:
    """Loads by age, and barrow fills."""

    code = "LOD-1"
    sentence = (
        "Nobody carries or wheels more than people of their age may, and each task says how full."
    )
    source = (
        "French labour code D4153-39 (repealed text): under 18 a barrow of 40 kg at most, barrow "
        "included; carried loads proposed"
    )
    status = "reprint"
    waivable = False
    applies_to = "tasks that move loose material"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the fills of each task, and refusals where even an empty barrow is too heavy."""
        caps = problem.policy.loads
        if caps is None:
            return ()
        found: list[Condition] = []
        for task in problem.tasks:
            wheels = self._wheels(problem, task)
            if task.load_kg_per_litre > 0:
                found.append(self._fills(problem, task, caps, wheels))
            if wheels:
                found += self._too_heavy(problem, task, caps)
        return tuple(found)

    @staticmethod
    def _barrows(problem: RosterProblem) -> frozenset[str]:
        ages = problem.policy.tool_ages
        rows = () if ages is None else ages.rows
        listed = frozenset(tool for row in rows if row.code == BARROW for tool in row.tools)
        return listed or frozenset({BARROW_TOOL})

    def _wheels(self, problem: RosterProblem, task: CrewTask) -> bool:
        return any(need.tool in self._barrows(problem) for need in task.tools)

    def _barrow_kg(self, problem: RosterProblem, caps: LoadCaps) -> float:
        """Return the heaviest barrow weighed, or the rule book's figure."""
        weighed = [
            facts.mass_kg
            for tool in sorted(self._barrows(problem))
            if problem.facts is not None
            and (facts := problem.facts.find_tool(tool)) is not None
            and facts.mass_kg is not None
        ]
        return max(weighed, default=float(caps.barrow_kg))

    def _fills(
        self, problem: RosterProblem, task: CrewTask, caps: LoadCaps, wheels: bool
    ) -> Notice:
        kg_per_litre = task.load_kg_per_litre
        carried = [
            f"{_who(caps.carry_kg, band)} {band.figure / kg_per_litre:.0f} L"
            for band in caps.carry_kg
        ]
        text = f"“{task.title}” moves {kg_per_litre:g} kg a litre. Carried: {', '.join(carried)}."
        if wheels:
            barrow_kg = self._barrow_kg(problem, caps)
            wheeled = [
                f"{_who(caps.barrow_gross_kg, band)} "
                f"{barrow_litres(band.figure, barrow_kg, kg_per_litre):.0f} L"
                for band in caps.barrow_gross_kg
            ]
            text += f" In a barrow: {', '.join(wheeled)}."
        source = problem.policy.cite("loads.carry_kg")
        remedy = "Mark the fill line on buckets and barrows before the start."
        reason = Reason(self.code, text, source, remedy, Severity.NOTES)
        return Notice(reason, task=task.id)

    def _too_heavy(self, problem: RosterProblem, task: CrewTask, caps: LoadCaps) -> list[Condition]:
        barrow_kg = self._barrow_kg(problem, caps)
        refused = tuple(
            person.id
            for person in problem.people
            if person.age < ADULT_AGE and figure_at(caps.barrow_gross_kg, person.age) <= barrow_kg
        )
        if not refused:
            return []
        text = (
            f"The barrow of “{task.title}” weighs {barrow_kg:g} kg empty, as much as young people "
            "may wheel with its load."
        )
        source = problem.policy.cite("loads.barrow_gross_kg")
        remedy = "Use a lighter barrow, or give them other work."
        return [Forbid(Reason(self.code, text, source, remedy), refused, (task.id,))]


def _who(bands: tuple[ByAge, ...], band: ByAge) -> str:
    if band.oldest < EVERY_AGE:
        return f"to {band.oldest} years"
    return "older" if len(bands) > 1 else "everyone"
