"""Vibration points that a round at each powered task gives. Not the limits: `rules`."""

from math import ceil

from scheduling.domain.exposure import ToolUse, vibration_points
from scheduling.domain.people import TaskId
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import CrewTask, RosterProblem

POINTS = "vibration points"  # what a condition of these counts
UNKNOWN_TOOL_M_S2 = 10.0  # proposed, where no rule set has a figure


def points_per_round(problem: RosterProblem) -> tuple[tuple[TaskId, int], ...]:
    """Return, for each powered task, a person's vibration points in one round at it.

    Returns:
        Whole points, rounded up; the strongest tool of the task counts, and a
        task whose powered minutes nobody stated runs it the whole round.
    """
    return tuple((task.id, _points(problem, task)) for task in powered_tasks(problem))


def _points(problem: RosterProblem, task: CrewTask) -> int:
    minutes = task.powered_min_per_round or problem.round_minutes
    return ceil(vibration_points([ToolUse(_magnitude_m_s2(problem, task), minutes)]))


def _magnitude_m_s2(problem: RosterProblem, task: CrewTask) -> float:
    limits = problem.policy.exposure
    unknown = UNKNOWN_TOOL_M_S2 if limits is None else limits.unknown_tool_m_per_s2
    known = [
        facts.vibration_m_s2
        for need in task.tools
        if problem.facts is not None
        and (facts := problem.facts.find_tool(need.tool)) is not None
        and facts.vibration_m_s2 is not None
    ]
    return max(known, default=unknown)
