"""A class with its staff and helpers as its liaison describes it, held against a session.

Front door: `check_visit`. The arithmetic, who counts and which work is open is
`class_answer`'s; the verdict is `admission`'s, asked about people who stand for
the class. Here helpers without a name and pupils with an adult of their own are
put into these numbers. Nobody is named.
"""

from dataclasses import dataclass, replace

from orchard.domain.errors import RosterError
from scheduling.domain.admission import check_admission
from scheduling.domain.class_answer import CountedAdults, TaskForClass, check_class
from scheduling.domain.condition import Forbid
from scheduling.domain.group_check import SupervisionLine
from scheduling.domain.names_hidden import hide_names
from scheduling.domain.people import ADULT_AGE, GroupId, PersonId, pupil_id
from scheduling.domain.problem import Group, Person, RosterProblem
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rules import all_conditions
from scheduling.domain.wording import plural

TRIED_GROUP = GroupId(0)  # no class in the database has this number
PARENTS = (
    "parents who come along do not count for other people's children unless recruited, checked "
    "and trained (NSPCC Learning, Recommended adult to child ratios)"
)


@dataclass(frozen=True, slots=True)
class ClassNumbers:
    """A class as its liaison describes it: counts, never names.

    `needing_own_adult` pupils each take one checked adult, helpers first, who
    then counts for nobody else.
    """

    pupils_by_age: tuple[tuple[int, int], ...]
    staff: int
    checked_staff: int
    helpers: int = 0
    checked_helpers: int = 0
    needing_own_adult: int = 0
    wished_kinds: tuple[str, ...] = ()

    @property
    def pupils(self) -> int:
        """Number of pupils."""
        return sum(count for _, count in self.pupils_by_age)

    @property
    def checked(self) -> int:
        """Adults of the class with a background check in date, whatever they are kept for."""
        return self.checked_staff + self.checked_helpers

    @property
    def counted_helpers(self) -> int:
        """Checked helpers who are not kept by one pupil."""
        return max(0, self.checked_helpers - self.needing_own_adult)

    @property
    def counted_staff(self) -> int:
        """Checked staff who are not kept by one pupil."""
        kept = max(0, self.needing_own_adult - self.checked_helpers)
        return max(0, self.checked_staff - kept)


@dataclass(frozen=True, slots=True)
class VisitTask:
    """Tasks of one kind that are the same to the class. `closed`: why nobody may do them."""

    titles: tuple[str, ...]
    kind: str
    wished: bool
    task: TaskForClass
    closed: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        """Whether any of the class may do them."""
        return bool(self.task.may) and not self.closed

    @property
    def why(self) -> tuple[str, ...]:
        """What keeps everybody from them, the first reason for all; else how they are done."""
        if not self.closed:
            return self.task.because
        more = len(self.closed) - 1
        return (self.closed[0], *((f"And {plural(more, 'reason')} like it.",) if more else ()))


@dataclass(frozen=True, slots=True)
class VisitAnswer:
    """The whole answer to a liaison."""

    numbers: ClassNumbers
    lines: tuple[SupervisionLine, ...]
    findings: tuple[Finding, ...]
    adults: tuple[CountedAdults, ...]
    tasks: tuple[VisitTask, ...]
    changes: tuple[str, ...]

    @property
    def blocked(self) -> bool:
        """Whether the class cannot be signed up like this."""
        return any(finding.severity is Severity.BLOCKS for finding in self.findings)

    @property
    def missing(self) -> int:
        """Adults that the requirement with the largest gap lacks."""
        return max((line.missing for line in self.lines), default=0)


def check_visit(
    problem: RosterProblem, numbers: ClassNumbers, *, known_staff: tuple[Person, ...] = ()
) -> VisitAnswer:
    """Return what the rules ask of a class in a session, and what it can do there.

    Args:
        problem: Everyone else confirmed for the session, and its work.
        numbers: The class as described.
        known_staff: The staff on file, where the numbers are those on file:
            their first aid and other skills then count. Empty for a class that
            is only described.

    Raises:
        RosterError: If the numbers cannot be together.
    """
    _refuse_odd(numbers)
    problem = hide_names(problem)
    answer = check_class(
        problem,
        pupils_by_age=numbers.pupils_by_age,
        staff=numbers.staff + numbers.helpers,
        checked_staff=numbers.counted_staff + numbers.counted_helpers,
    )
    tried = build_tried_class(problem, numbers, known_staff)
    here = {person.id for person in tried}
    others_there = tuple(person for person in problem.people if person.id not in here)
    together = replace(
        problem,
        people=others_there + tried,
        groups=(*problem.groups, Group(TRIED_GROUP, "the class")),
    )
    asking = tuple(person.id for person in tried)
    others = tuple(line for line in answer.adults if line.who != "staff of the class")
    return VisitAnswer(
        numbers=numbers,
        lines=_lines(answer.lines, numbers),
        findings=check_admission(together, asking).findings if asking else (),
        adults=(*_class_adults(problem, numbers), *others),
        tasks=_tasks(together, answer.tasks, numbers.wished_kinds),
        changes=answer.changes,
    )


def _refuse_odd(numbers: ClassNumbers) -> None:
    if not 0 <= numbers.checked_helpers <= numbers.helpers:
        raise RosterError(
            f"{numbers.checked_helpers} of {numbers.helpers} helpers with a background check "
            "cannot be; enter how many of those who come have one."
        )
    if not 0 <= numbers.checked_staff <= numbers.staff:
        raise RosterError(
            f"{numbers.checked_staff} of {numbers.staff} staff with a background check cannot be; "
            "enter how many of those who come have one."
        )
    if not 0 <= numbers.needing_own_adult <= numbers.pupils:
        raise RosterError(
            f"{numbers.needing_own_adult} of {numbers.pupils} pupils with an adult of their own "
            "cannot be; enter how many of the pupils need one."
        )


def _lines(
    lines: tuple[SupervisionLine, ...], numbers: ClassNumbers
) -> tuple[SupervisionLine, ...]:
    """Return the lines with helpers taken out of the class's own staff, and the needs added."""
    found = tuple(
        replace(line, there=numbers.staff, missing=max(0, line.required - numbers.staff))
        if line.rule == "GRP-1"
        else line
        for line in lines
    )
    needed = numbers.needing_own_adult
    if not needed or not found:
        return found
    counted = numbers.counted_staff + numbers.counted_helpers
    own = SupervisionLine(
        rule="GRP-1",
        method="an adult of their own for pupils who need one",
        required=needed,
        there=min(needed, numbers.checked),
        missing=max(0, needed - numbers.checked),
        text=(
            f"{plural(needed, 'pupil')} with an adult of their own: of the class’s "
            f"{numbers.checked} checked adults {counted} count for the others."
        ),
        source="Common practice, no source; the school’s own assessment decides",
        status="common practice",
    )
    return (*found, own)


def build_tried_class(
    problem: RosterProblem, numbers: ClassNumbers, known_staff: tuple[Person, ...] = ()
) -> tuple[Person, ...]:
    """Return people who stand for a class, its staff and its helpers.

    Args:
        problem: The session.
        numbers: The class as described.
        known_staff: The staff on file, to stand for themselves.

    Assumes:
        Every adult not on file is of the age that all adopted tables ask for.
    """
    here = (True,) * problem.rounds
    ages = [age for age, count in sorted(numbers.pupils_by_age) for _ in range(count)]
    pupils = [
        Person(pupil_id(TRIED_GROUP, number), f"pupil {number}", age, here, group=TRIED_GROUP)
        for number, age in enumerate(ages, start=1)
    ]
    free = max((person.id for person in problem.people), default=0) + 1
    age = max((ADULT_AGE, *(table.adult_from for table in problem.policy.tables)))
    adults = [
        Person(
            PersonId(free + n), f"staff {n + 1}", age, here,
            checked=n < numbers.counted_staff, staff_of=TRIED_GROUP,
        )
        for n in range(numbers.staff)
    ]  # fmt: skip
    if known_staff:
        adults = _known_staff(known_staff, numbers)
    adults += [
        Person(
            PersonId(free + numbers.staff + n), f"helper {n + 1}", age, here,
            checked=n < numbers.counted_helpers,
        )
        for n in range(numbers.helpers)
    ]  # fmt: skip
    return (*pupils, *adults)


def _known_staff(known: tuple[Person, ...], numbers: ClassNumbers) -> list[Person]:
    """Return the staff on file as the tried class's, without those whom one pupil keeps."""
    kept = numbers.checked_staff - numbers.counted_staff
    found: list[Person] = []
    for person in known:
        keeps = kept > 0 and person.checked
        kept -= keeps
        checked = person.checked and not keeps
        found.append(replace(person, checked=checked, staff_of=TRIED_GROUP))
    return found


def _class_adults(problem: RosterProblem, numbers: ClassNumbers) -> tuple[CountedAdults, ...]:
    age = max((ADULT_AGE, *(table.adult_from for table in problem.policy.tables)))
    counts = f"background check in date, if of {age} or over"
    alone = "no background check in date: never alone with pupils, nor at the toilets"
    kept = min(numbers.needing_own_adult, numbers.checked)
    lines = (
        CountedAdults("staff of the class", numbers.counted_staff, counts=True, why=counts),
        CountedAdults(
            "staff of the class", numbers.staff - numbers.checked_staff, counts=False, why=alone
        ),
        CountedAdults(
            "helpers of the class",
            numbers.counted_helpers,
            counts=True,
            why=f"{counts}, recruited and trained by the school: {PARENTS}",
        ),
        CountedAdults(
            "helpers of the class",
            numbers.helpers - numbers.checked_helpers,
            counts=False,
            why=f"{alone}; {PARENTS}",
        ),
        CountedAdults(
            "adults kept by one pupil each",
            kept,
            counts=False,
            why="each stays with a pupil who needs an adult of their own",
        ),
    )
    return tuple(line for line in lines if line.number > 0)


def _tasks(
    problem: RosterProblem, answers: tuple[TaskForClass, ...], wished: tuple[str, ...]
) -> tuple[VisitTask, ...]:
    """Return the tasks, those that are the same to the class in one, open and wished first."""
    closed = _closed_tasks(problem)
    kinds = {task.title: task.kind for task in problem.tasks}
    alike: dict[tuple[object, ...], list[TaskForClass]] = {}
    for answer in answers:
        why = closed.get(answer.title, ())
        key = (kinds.get(answer.title, ""), answer.may, answer.may_not, answer.because, why)
        alike.setdefault(key, []).append(answer)
    found = [
        VisitTask(
            titles=tuple(task.title for task in tasks),
            kind=kinds.get(tasks[0].title, ""),
            wished=kinds.get(tasks[0].title) in wished,
            task=tasks[0],
            closed=closed.get(tasks[0].title, ()),
        )
        for tasks in alike.values()
    ]
    return tuple(sorted(found, key=lambda visit: (not visit.is_open, not visit.wished)))


def _closed_tasks(problem: RosterProblem) -> dict[str, tuple[str, ...]]:
    """Return, for each task nobody may do that day, why: the ground, the weather, a locate."""
    titles = {task.id: task.title for task in problem.tasks}
    found: dict[str, tuple[str, ...]] = {}
    for condition in all_conditions(problem):
        if (
            isinstance(condition, Forbid)
            and condition.people is None
            and condition.reason.severity is Severity.BLOCKS
            and (condition.rounds is None or len(set(condition.rounds)) == problem.rounds)
        ):
            for task in titles if condition.tasks is None else condition.tasks:
                known = found.get(titles[task], ())
                if condition.reason.text not in known:
                    found[titles[task]] = (*known, condition.reason.text)
    return found
