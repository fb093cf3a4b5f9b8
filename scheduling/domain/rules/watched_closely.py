"""Where the age of a young person asks for constant watching at a kind of work, an adult is at
arm's reach, and watches only a few.

The ratio of SUP-1 alone does not satisfy this: the matrix of the adopted sets
marks the ages, and how many one adult can watch so closely is the site's own
figure.
"""

from scheduling.domain.condition import Condition, Per, Reason, Section, Supervised
from scheduling.domain.people import PersonId
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.rule_set import Combining, Watch
from scheduling.domain.supervision import name_supply, needs_supervision, supply_by_rounds
from scheduling.domain.wording import list_titles, stop

SENTENCE = (
    "Where the age of a young person asks for constant watching at a kind of work, an adult is "
    "at arm's reach, and watches only a few."
)


class WatchedClosely:
    """Constant watching of the youngest, by kind of work."""

    code = "SUP-4"
    sentence = SENTENCE
    source = (
        "Levels of supervision after Ophea, Ontario Physical Activity Safety Standards in "
        "Education (constant visual, on-site, in-the-area), from memory; the ages and the number "
        "one adult watches: proposed"
    )
    status = "proposed"
    waivable = False
    applies_to = "young people at work that the matrix of tools by age marks with C"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the adults that closely watched young people ask for, crew by crew."""
        few = problem.policy.watched_closely_per_adult
        if few <= 0:
            return ()
        watched: dict[tuple[PersonId, ...], list[CrewTask]] = {}
        for task in problem.tasks:
            ids = self._watched(problem, task)
            if ids:
                watched.setdefault(ids, []).append(task)
        return tuple(
            condition
            for ids, tasks in watched.items()
            for condition in self._of_tasks(problem, ids, tasks, few)
        )

    @staticmethod
    def _watched(problem: RosterProblem, task: CrewTask) -> tuple[PersonId, ...]:
        ages = problem.policy.tool_ages
        rows = () if ages is None else ages.of_kind(task.kind)
        return tuple(
            person.id
            for person in problem.people
            if needs_supervision(problem, person)
            and any(row.cell(person.age).watch is Watch.CONSTANT for row in rows)
        )

    def _of_tasks(
        self, problem: RosterProblem, ids: tuple[PersonId, ...], tasks: list[CrewTask], few: int
    ) -> list[Condition]:
        oldest = max(person.age for person in problem.people if person.id in set(ids))
        titles = list_titles([task.title for task in tasks])
        found: list[Condition] = []
        supplies = supply_by_rounds(problem, problem.policy.supervision)
        for rounds, adults in supplies:
            names = name_supply(problem, problem.policy.supervision, adults)
            text = (
                f"Young people up to {oldest} are watched at arm's reach at {titles}, at most "
                f"{few} by one adult; those who count here: {stop(names)}"
            )
            remedy = "Move a checked adult into the crew, or give the youngest other work."
            found.append(
                Supervised(
                    Reason(self.code, text, problem.policy.cite("tool_ages.rows"), remedy),
                    adults=tuple(person.id for person in adults),
                    sections=(Section(ids, few),),
                    combining=Combining.SUM,
                    plus=0,
                    least=1,
                    per=Per.CREW,
                    rounds=None if len(supplies) == 1 else rounds,
                    tasks=tuple(task.id for task in tasks),
                )
            )
        return found
