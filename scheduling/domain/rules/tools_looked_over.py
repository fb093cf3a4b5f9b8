"""Tools are looked over within the site's interval before they are handed out.

A powered tool that was not is not used. Hand tools are told: the crew lead looks
at handles, heads and edges before the start whatever the record says.
"""

from datetime import date

from scheduling.domain.condition import Condition, Forbid, Notice, Reason, Severity
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.people import TaskId
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import list_words


class ToolsLookedOver:
    """Tools inspected."""

    code = "INS-1"
    sentence = "Tools are looked over within the site's interval before they are handed out."
    source = "Proposed; makers' handbooks prevail for powered tools"
    status = "proposed"
    waivable = False
    applies_to = "tasks that use tools"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return refusals of powered work with old records, and word of hand tools."""
        limits, facts = problem.policy.facilities, problem.facts
        if limits is None or facts is None:
            return ()
        powered = powered_tasks(problem)
        listed = {tool.code: tool for tool in problem.tools}
        motors = {n.tool for t in powered for n in t.tools if n.tool in listed}
        motors = {code for code in motors if listed[code].powered}
        found: list[Condition] = []
        for task in powered:
            late = [
                listed[need.tool].name
                for need in task.tools
                if need.tool in motors
                and _is_late(problem, facts, need.tool, limits.powered_tools_looked_over_days)
            ]
            if late:
                found.append(self._refuse(late, limits.powered_tools_looked_over_days, task.id))
        hands = sorted({n.tool for t in problem.tasks for n in t.tools} & listed.keys() - motors)
        days = limits.hand_tools_looked_over_days
        late_hands = [code for code in hands if _is_late(problem, facts, code, days)]
        never = [code for code in late_hands if _last_look(facts, code) is None]
        for codes, severity in (
            ([code for code in late_hands if code not in never], Severity.WARNS),
            (never, Severity.NOTES),
        ):
            if codes:
                found.append(self._tell([listed[code].name for code in codes], days, severity))
        return tuple(found)

    def _refuse(self, names: list[str], days: int, task: TaskId) -> Forbid:
        text = f"Not looked over within {days} days: {list_words(names)}."
        remedy = "Have it looked over by somebody competent and enter the day at the store."
        return Forbid(Reason(self.code, text, self.source, remedy), None, (task,))

    def _tell(self, names: list[str], days: int, severity: Severity) -> Notice:
        text = f"Not recorded as looked over within {days} days: {list_words(names, most=8)}."
        remedy = "Look at handles, heads and edges before the start, and enter the day."
        return Notice(Reason(self.code, text, self.source, remedy, severity))


def _last_look(facts: DayFacts, tool: str) -> date | None:
    known = facts.find_tool(tool)
    return None if known is None else known.inspected_on


def _is_late(problem: RosterProblem, facts: DayFacts, tool: str, days: int) -> bool:
    """Say whether a tool's last look is unknown or longer ago than the days; 0 is no interval."""
    last = _last_look(facts, tool)
    return days > 0 and (last is None or (problem.on - last).days > days)
