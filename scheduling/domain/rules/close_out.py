"""Every hole opened in a session is filled before its end.

Holes are filled no sooner than the round after they were opened. Work that
leaves holes is refused when nothing in the session fills them, and a filling
task when nothing in the session opens its holes.
"""

from scheduling.domain.condition import CloseOut as CloseOutCondition
from scheduling.domain.condition import Condition, Forbid, InOrder, Reason
from scheduling.domain.problem import CrewTask, RosterProblem


class CloseOut:
    """Close-out."""

    code = "CLO-1"
    sentence = "Every hole opened in a session is filled before its end."
    source = (
        "California Code of Regulations, Title 8 §1542 (temporary exploration holes backfilled "
        "when done); same-session filling: common practice"
    )
    status = "published"
    waivable = False
    applies_to = "tasks that leave holes, and those that fill them"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the pairs of opening and filling, and refusals for what has no pair."""
        tasks = {task.id: task for task in problem.tasks}
        closed = {task.closes for task in problem.tasks if task.closes is not None}
        found: list[Condition] = []
        for task in problem.tasks:
            if task.closes is not None:
                found += self._of_filling(task, tasks.get(task.closes))
            elif task.opens_ground and task.id not in closed:
                text = f"“{task.title}” leaves holes, and nothing in this session fills them."
                remedy = f"Plan the backfill of “{task.title}” into the same session."
                reason = Reason(self.code, text, self.source, remedy)
                found.append(Forbid(reason, None, (task.id,)))
        return tuple(found)

    def _of_filling(self, filling: CrewTask, opening: CrewTask | None) -> tuple[Condition, ...]:
        if opening is None:
            text = f"“{filling.title}” fills holes that nothing in this session opens."
            remedy = "Plan the coring into the same session, or leave this task out."
            refused = Reason(self.code, text, self.source, remedy)
            return (Forbid(refused, None, (filling.id,)),)
        text = f"The holes of “{opening.title}” are filled by “{filling.title}” before the end."
        remedy = f"Bore fewer holes, or give “{filling.title}” more people in later rounds."
        reason = Reason(self.code, text, self.source, remedy)
        early = Reason(
            self.code,
            f"A crew is at “{filling.title}” only when holes of “{opening.title}” are open.",
            self.source,
            f"Let the crew of “{filling.title}” begin a round later.",
        )
        return (
            CloseOutCondition(reason, opens=opening.id, closes=filling.id),
            InOrder(early, first=opening.id, units=1, then=filling.id),
        )
