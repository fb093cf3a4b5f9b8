"""No ground is opened without a locate, marked and in date on the day, that covers the area.

Buried services are asked for and marked out before any hole, by hand or with a
motor. The number and its days come from the service that marked them; local
codes decide how long it holds. A locate that was asked for and not marked yet is none:
its days are a hope, so the rule blocks and the planner gives nobody such work. The
season's plan may reckon with those days; a roster may not. Where the service answers
that nothing of its own lies there, the day of that answer is entered as the marking.
"""

from scheduling.domain.condition import Condition, Forbid, Reason
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.wording import day_words


class LocateInDate:
    """Buried services marked out before any hole."""

    code = "LOC-1"
    sentence = (
        "No ground is opened without a locate, marked and in date on the day, that covers the area."
    )
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
            fault, remedy = self._fault(problem, task)
            if fault:
                reason = Reason(self.code, fault, self.source, remedy)
                found.append(Forbid(reason, None, (task.id,)))
        return tuple(found)

    def _fault(self, problem: RosterProblem, task: CrewTask) -> tuple[str, str]:
        """Return what is wrong with the locates of the task's area and what to do, or nothing."""
        covering = [locate for locate in problem.locates if task.zone in locate.areas]
        holding = [each for each in covering if each.first_day <= problem.on <= each.last_day]
        if any(locate.marked for locate in holding):
            return "", ""
        opens = f"“{task.title}” opens ground in {task.zone}"
        if holding:
            number = min(locate.number for locate in holding)
            return (
                f"{opens}; locate {number} is asked for, and no marks are on record.",
                f"When the marks are on the ground, enter their day with locate {number}; until "
                "then plan other work.",
            )
        ask = (
            f"Have the buried services in {task.zone} marked out for {day_words(problem.on)} and "
            "enter the number, or plan other work."
        )
        if not covering:
            return f"{opens}, and no locate covers that area.", ask
        nearest = max(covering, key=lambda locate: (locate.last_day, locate.number))
        if nearest.first_day > problem.on:
            wrong = f"begins on {day_words(nearest.first_day)}"
        else:
            wrong = f"ended on {day_words(nearest.last_day)}"
        return f"{opens}; locate {nearest.number} {wrong}.", ask
