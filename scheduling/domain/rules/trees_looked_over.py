"""People work under trees that somebody has looked over within the site's interval.

A warning: a look at deadwood, splits and hung branches is quick, and an
arborist's judgement is the arborist's.
"""

from scheduling.domain.condition import Condition, Notice, Reason, Severity
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import day_words, list_words


class TreesLookedOver:
    """Trees inspected."""

    code = "TRE-1"
    sentence = "People work under trees that somebody has looked over within the site's interval."
    source = (
        "National Tree Safety Group, Common sense risk management of trees, 2011 (in proportion; "
        "it names no interval); the interval is proposed"
    )
    status = "proposed"
    waivable = True
    applies_to = "areas with trees in which anyone works"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a warning for each area whose trees' last look is unknown or long ago."""
        limits, facts = problem.policy.facilities, problem.facts
        if limits is None or facts is None or limits.trees_looked_over_days == 0:
            return ()
        days = limits.trees_looked_over_days
        never: list[str] = []
        found: list[Condition] = []
        for zone in sorted({task.zone for task in problem.tasks}):
            known = facts.find_zone(zone)
            if known is None or not known.under_trees:
                continue
            last = known.trees_inspected_on
            if last is None:
                never.append(zone)
            elif (problem.on - last).days > days:
                found.append(self._warn(f"Trees in {zone}: last looked over {day_words(last)}."))
        if never:
            areas = list_words(never, most=8)
            found.append(self._warn(f"No record that every tree was looked over in {areas}."))
        return tuple(found)

    def _warn(self, text: str) -> Notice:
        remedy = "Look up for deadwood, splits and hung branches before the start; enter the day."
        return Notice(Reason(self.code, text, self.source, remedy, Severity.WARNS))
