"""Which tasks are done with a powered tool: the one answer that all rules share."""

from scheduling.domain.problem import CrewTask, RosterProblem


def powered_tasks(problem: RosterProblem) -> tuple[CrewTask, ...]:
    """Return the tasks with powered minutes or a tool the store or the matrix calls powered."""
    listed = {tool.code for tool in problem.tools if tool.powered}
    ages = problem.policy.tool_ages
    if ages is not None:
        listed |= {tool for row in ages.rows if row.powered for tool in row.tools}
    return tuple(
        task
        for task in problem.tasks
        if task.powered_min_per_round > 0 or any(need.tool in listed for need in task.tools)
    )
