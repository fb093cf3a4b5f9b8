"""People a day could still win: one more adult, lead, first aider, holder of a skill.

Front doors: `newcomer_kinds`, `with_newcomers`. Not for who should be asked: no
single person is ranked anywhere.
"""

from dataclasses import dataclass, replace
from datetime import date

from scheduling.domain.people import ADULT_AGE, PersonId
from scheduling.domain.problem import Person, RosterProblem, SkillHeld
from scheduling.domain.wording import listed, number_words


@dataclass(frozen=True, slots=True)
class NewcomerKind:
    """A kind of adult, as a coordinator would ask for them."""

    word: str
    checked: bool = False
    skills: tuple[str, ...] = ()

    def say(self, number: int) -> str:
        """Return so many of the kind in words: "two more crew leads"."""
        words = self.word if number == 1 else _many(self.word)
        return f"{number_words(number)} more {words}"


ADULT = NewcomerKind("adult")
CHECKED = NewcomerKind("checked adult", checked=True)


def _many(word: str) -> str:
    """Return the plural of a kind: the noun is before "signed", else at the end."""
    noun, signed, rest = word.partition(" signed")
    return f"{noun}s{signed}{rest}"


def newcomer_kinds(problem: RosterProblem) -> tuple[NewcomerKind, ...]:
    """Return the kinds of people that could help a day, easiest to find first.

    Args:
        problem: Its work that must be done names the skills.

    Assumes:
        A plain adult is found more easily than a checked one, and that one more
        easily than somebody with a skill: our estimate.
    """
    must = [task for task in problem.tasks if task.required]
    skills = sorted({need.skill for task in must for need in task.skills})
    known = (problem.lead_skill, problem.first_aid_skill)
    special = [skill for skill in skills if skill not in known]
    return (
        ADULT,
        CHECKED,
        NewcomerKind("first aider", skills=(problem.first_aid_skill,)),
        NewcomerKind("crew lead", skills=(problem.lead_skill,)),
        *(
            NewcomerKind(f"adult signed off for {skill.replace('_', ' ')}", skills=(skill,))
            for skill in special
        ),
    )


def with_newcomers(
    problem: RosterProblem, kinds: tuple[NewcomerKind, ...]
) -> tuple[RosterProblem, tuple[PersonId, ...]]:
    """Return the problem with one more person of each kind named, there throughout, and their ids.

    Args:
        problem: To add them to.
        kinds: One for each newcomer; the same kind may be named again.
    """
    first = max((person.id for person in problem.people), default=0) + 1
    grown = max(ADULT_AGE, *(table.adult_from for table in problem.policy.tables))
    added = tuple(
        Person(
            id=PersonId(first + number),
            name=f"one more {kind.word}",
            age=grown,
            present=(True,) * problem.rounds,
            checked=kind.checked,
            skills=tuple(SkillHeld(skill, date.max) for skill in kind.skills),
        )
        for number, kind in enumerate(kinds)
    )
    return replace(problem, people=(*problem.people, *added)), tuple(p.id for p in added)


def say_newcomers(kinds: tuple[NewcomerKind, ...]) -> str:
    """Return newcomers in words: "two more adults and one more crew lead"."""
    order = list(dict.fromkeys(kinds))
    return listed(kind.say(kinds.count(kind)) for kind in order)
