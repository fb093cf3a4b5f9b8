"""Ground is opened only when it may be worked: not frozen, not saturated, not dust.

Felt on the morning: a squeezed handful that crumbles, a thread of 3 mm that
breaks. Unknown before the day is a note or a warning, not a refusal.
"""

from scheduling.domain.condition import Condition, Forbid, Notice, Reason, Severity
from scheduling.domain.day_facts import Soil, ZoneFacts
from scheduling.domain.people import TaskId
from scheduling.domain.problem import RosterProblem

FREEZING_C = 0.0


class SoilWorkable:
    """Soil fit to be opened."""

    code = "SOI-1"
    sentence = "Ground is opened only when it may be worked: not frozen, not saturated, not dust."
    source = (
        "Squeeze test (extension material) and plastic limit (thread of 3 mm, ASTM D4318); frost: "
        "proposed"
    )
    status = "reprint"
    waivable = True
    applies_to = "tasks that open ground, by area"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return refusals, warnings and notes for each area with ground to open."""
        opening: dict[str, list[TaskId]] = {}
        for task in problem.tasks:
            if task.breaks_ground:
                opening.setdefault(task.zone, []).append(task.id)
        if problem.facts is None:
            return (self._feel(sorted(opening), Severity.NOTES),) if opening else ()
        found: list[Condition] = []
        unknown: list[str] = []
        for zone, tasks in sorted(opening.items()):
            known = problem.facts.find_zone(zone) or ZoneFacts(zone)
            fault = self._fault(problem, known)
            if fault:
                found.append(self._refuse(fault, zone, tuple(tasks)))
            elif known.soil is Soil.WAIT:
                found.append(self._wait(zone))
            elif known.soil is Soil.UNKNOWN:
                unknown.append(zone)
        if unknown:
            found.append(self._feel(unknown, Severity.WARNS))
        return tuple(found)

    def _fault(self, problem: RosterProblem, zone: ZoneFacts) -> str:
        """Return why the ground may not be opened, or nothing."""
        if zone.frozen:
            return f"The ground in {zone.zone} is frozen."
        if zone.soil is Soil.BLOCK:
            return f"The ground in {zone.zone} is too wet or too dry to open."
        forecast = None if problem.facts is None else problem.facts.forecast
        cold = forecast is not None and (forecast.temperature_c or 0.0) < FREEZING_C
        if cold and zone.frozen is None:
            return f"Frost is forecast, and nobody said that {zone.zone} is not frozen."
        return ""

    def _refuse(self, fault: str, zone: str, tasks: tuple[TaskId, ...]) -> Forbid:
        remedy = f"Leave {zone} for another day, and plan work that opens no ground."
        return Forbid(Reason(self.code, fault, self.source, remedy), None, tasks)

    def _wait(self, zone: str) -> Notice:
        text = f"A squeezed handful from {zone} only dents: wait before boring there."
        remedy = "Feel it again later in the day, or leave it for another day."
        return Notice(Reason(self.code, text, self.source, remedy, Severity.WARNS))

    def _feel(self, zones: list[str], severity: Severity) -> Notice:
        text = f"Nobody has felt the soil where ground is to be opened: {', '.join(zones)}."
        remedy = "Squeeze a handful from working depth on the morning and enter what it does."
        return Notice(Reason(self.code, text, self.source, remedy, severity))
