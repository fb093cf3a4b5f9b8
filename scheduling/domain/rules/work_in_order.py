"""Work on the same ground is done in its order: earlier work is finished first.

A task waits until all that is still open of the work before it is done, in a
round before its own; where that work is not part of the session, it is refused.
"""

from scheduling.domain.condition import Condition, Forbid, InOrder, Reason
from scheduling.domain.problem import After, CrewTask, RosterProblem


class WorkInOrder:
    """Order of work on the same ground."""

    code = "ORD-1"
    sentence = "Work on the same ground is done in its order: earlier work is finished first."
    source = "common practice, no source"
    status = "common practice"
    waivable = True
    applies_to = "tasks that follow other work on the same ground"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one condition for each task and each unfinished task it follows."""
        offered = {task.id for task in problem.tasks}
        return tuple(
            self._of_pair(task, before, here=before.task in offered)
            for task in problem.tasks
            for before in task.after
        )

    def _of_pair(self, task: CrewTask, before: After, *, here: bool) -> Condition:
        if not here:
            text = (
                f"“{task.name}” waits for “{before.title}”, "
                "which is neither finished nor part of this session."
            )
            remedy = f"Plan “{before.title}” first."
            return Forbid(Reason(self.code, text, self.source, remedy), None, (task.id,))
        text = f"“{before.title}” is finished before “{task.name}” begins."
        remedy = f"Give “{before.title}” more people in the early rounds."
        reason = Reason(self.code, text, self.source, remedy)
        return InOrder(reason, first=before.task, units=before.units, then=task.id)
