"""No ground is opened without a locate in date on the day that covers the area.

Buried services are asked for and marked out before any hole, by hand or with a
motor. The number and its days come from the service that marked them; local
codes decide how long it holds.
"""

from scheduling.domain.condition import Condition, Forbid, Reason
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.wording import day_words


class LocateInDate:
    """Buried services marked out before any hole."""

    code = "LOC-1"
    sentence = "No ground is opened without a locate in date on the day that covers the area."
    source = "California ReLeaf toolkit (call before you dig, 811); local codes prevail"
    status = "published"
    waivable = False
    applies_to = "tasks that open ground"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a refusal for everyone for each task that lacks its locate."""
        found: list[Condition] = []
        for task in problem.tasks:
            if not task.breaks_ground:
                continue
            fault = self._fault(problem, task)
            if fault:
                remedy = (
                    f"Have the buried services in {task.zone} marked out for "
                    f"{day_words(problem.on)} and enter the number, or plan other work."
                )
                reason = Reason(self.code, fault, self.source, remedy)
                found.append(Forbid(reason, None, (task.id,)))
        return tuple(found)

    def _fault(self, problem: RosterProblem, task: CrewTask) -> str:
        """Return what is wrong with the locates of the task's area, or nothing."""
        covering = [locate for locate in problem.locates if task.zone in locate.areas]
        if any(locate.first_day <= problem.on <= locate.last_day for locate in covering):
            return ""
        opens = f"“{task.title}” opens ground in {task.zone}"
        if not covering:
            return f"{opens}, and no locate covers that area."
        nearest = max(covering, key=lambda locate: (locate.last_day, locate.number))
        if nearest.first_day > problem.on:
            return f"{opens}; locate {nearest.number} begins on {day_words(nearest.first_day)}."
        return f"{opens}; locate {nearest.number} ended on {day_words(nearest.last_day)}."
