"""What a person asked not to be given, they are not given.

No lifting: no heavy task. No kneeling: no kneeling task. No long kneeling: at
most the site's number of kneeling rounds. No heights: no work from a ladder or
steps. Who must tell the lead something, such as an allergy, is named and the
thing is not. No reason is asked for or stored.
"""

from scheduling.domain.condition import AtMost, Condition, Forbid, Notice, Per, Reason, Severity
from scheduling.domain.people import Restriction, TaskId
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.wording import list_titles, list_words, stop

CLIMBED = ("ladder", "steps")  # the store's codes of what is climbed


class Restrictions:
    """No lifting, no kneeling, no long kneeling, no heights, and who is to be asked."""

    code = "RST-1"
    sentence = "What a person asked not to be given, they are not given."
    source = "Common practice, no source; the number of kneeling rounds is proposed"
    status = "common practice"
    waivable = False
    applies_to = "people who asked not to be given something"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return the refusals and the limits each person asked for."""
        heavy = [task for task in problem.tasks if task.heavy]
        kneeling = [task for task in problem.tasks if task.kneeling]
        high = [task for task in problem.tasks if _is_high(task)]
        found: list[Condition] = []
        for person in problem.people:
            if Restriction.NO_LIFTING in person.restrictions and heavy:
                found.append(self._refuse(person, Restriction.NO_LIFTING, heavy, "heavy"))
            if Restriction.NO_KNEELING in person.restrictions and kneeling:
                found.append(self._refuse(person, Restriction.NO_KNEELING, kneeling, "kneeling"))
            if Restriction.NO_LONG_KNEELING in person.restrictions and kneeling:
                ids = tuple(task.id for task in kneeling)
                found.append(self._limit(person, ids, problem.policy.kneeling_rounds_if_limited))
            if Restriction.NO_HEIGHTS in person.restrictions and high:
                found.append(self._refuse(person, Restriction.NO_HEIGHTS, high, "high"))
        return (*found, *self._to_be_told(problem))

    def _refuse(
        self, person: Person, asked: Restriction, tasks: list[CrewTask], kind: str
    ) -> Forbid:
        titles = list_titles([task.title for task in tasks])
        text = f"{person.name} asked for {asked.value}, and {kind} work goes on at {titles}."
        remedy = f"Give {person.name} work that is not {kind}."
        reason = Reason(self.code, text, self.source, remedy)
        return Forbid(reason, (person.id,), tuple(task.id for task in tasks))

    def _limit(self, person: Person, kneeling: tuple[TaskId, ...], most: int) -> AtMost:
        text = (
            f"{person.name} asked for no long kneeling, which is at most {most} kneeling rounds "
            "in a session."
        )
        remedy = f"Give {person.name} work done standing in the other rounds."
        reason = Reason(self.code, text, self.source, remedy)
        return AtMost(reason, most, (person.id,), kneeling, Per.PERSON)

    def _to_be_told(self, problem: RosterProblem) -> tuple[Notice, ...]:
        """Return a note with those who have something to tell the lead, or nothing."""
        asked = [p for p in problem.people if Restriction.TELL_THE_LEAD in p.restrictions]
        if not asked:
            return ()
        names = list_words([person.name for person in asked], most=8)
        text = f"Has something the crew lead and the first aider must know: {stop(names)}"
        remedy = "Ask them or their guardian before the start, and write nothing down."
        reason = Reason(self.code, text, self.source, remedy, Severity.NOTES)
        return (Notice(reason, people=tuple(person.id for person in asked)),)


def _is_high(task: CrewTask) -> bool:
    return task.at_height or any(need.tool in CLIMBED for need in task.tools)
