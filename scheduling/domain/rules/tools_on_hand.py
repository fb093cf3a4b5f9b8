"""In no round do the crews use more of a tool than there are on hand.

A tool the store does not list counts as none on hand.
"""

from scheduling.domain.condition import Condition, Reason, ToolsAtMost
from scheduling.domain.problem import RosterProblem


class ToolsOnHand:
    """Tools on hand, round by round."""

    code = "TOL-1"
    sentence = "In no round do the crews use more of a tool than there are on hand."
    source = "The store's own list"
    status = "common practice"
    waivable = False
    applies_to = "tasks that use tools"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one limit for each tool that any task uses, in order of its code."""
        listed = {tool.code: tool for tool in problem.tools}
        uses: dict[str, dict[int, int]] = {}
        for index, task in enumerate(problem.tasks):
            for need in task.tools:
                per_task = uses.setdefault(need.tool, {})
                per_task[index] = per_task.get(index, 0) + need.count
        return tuple(
            ToolsAtMost(
                self._reason(code, listed[code].name if code in listed else None, on_hand),
                tool=code,
                on_hand=on_hand,
                uses=tuple((problem.tasks[i].id, n) for i, n in sorted(uses[code].items())),
            )
            for code in sorted(uses)
            for on_hand in (listed[code].on_hand if code in listed else 0,)
        )

    def _reason(self, code: str, name: str | None, on_hand: int) -> Reason:
        if name is None:
            text = f"The store lists no tool “{code}”, so there are none on hand."
            return Reason(self.code, text, self.source, f"Add “{code}” to the store's list.")
        text = f"There are {on_hand} × {name} on hand in a round."
        return Reason(self.code, text, self.source, f"Borrow more of {name}, or spread the crews.")
