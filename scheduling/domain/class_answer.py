"""A class by numbers against a session: what is asked, who counts, which work, what to change.

For the liaison's page and the supervision statement. Everything is counted;
no name of a volunteer or a pupil is in it. Guidance, not law: the school's own
risk assessment and local codes may ask for more, and then they prevail.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from scheduling.domain.group_check import SupervisionLine, check_group
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import CrewTask, Person, RosterProblem
from scheduling.domain.rule_set import Watch
from scheduling.domain.supervision import needs_supervision, why_not_supervising
from scheduling.domain.wording import list_words, number_words

MOST_LEFT_OUT = 40  # pupils that may be left out while looking for what would be enough


@dataclass(frozen=True, slots=True)
class CountedAdults:
    """So many adults who count as supervising, or do not, and why."""

    who: str
    number: int
    counts: bool
    why: str


@dataclass(frozen=True, slots=True)
class TaskForClass:
    """What one task of the session is to the ages of a class.

    `may` are the ages in years that may do it, `watched` those of them who are
    watched at arm's reach, `may_not` the rest; `because` says why, and what
    holds for its tools.
    """

    title: str
    may: tuple[int, ...]
    watched: tuple[int, ...]
    may_not: tuple[int, ...]
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClassAnswer:
    """Everything the liaison sees at once."""

    lines: tuple[SupervisionLine, ...]
    adults: tuple[CountedAdults, ...]
    tasks: tuple[TaskForClass, ...]
    changes: tuple[str, ...]

    @property
    def is_met(self) -> bool:
        """Whether no requirement misses anything."""
        return not any(line.missing for line in self.lines)


def check_class(
    problem_without_group: RosterProblem,
    *,
    pupils_by_age: tuple[tuple[int, int], ...],
    staff: int,
    checked_staff: int,
) -> ClassAnswer:
    """Return all that can be said of a class at a session from its numbers.

    Args:
        problem_without_group: Everyone else confirmed, and the session's work.
        pupils_by_age: Completed years on the day and how many pupils.
        staff: Adults of the school who come with the class.
        checked_staff: How many of them have a background check in date.

    Returns:
        Requirements with their arithmetic, the strictest first; who counts and
        who does not and why; each task by age; what to change, tried before it
        is said.

    Raises:
        RosterError: If a number is below 0, or more staff are checked than come.
    """
    problem = problem_without_group
    lines = check_group(
        problem, pupils_by_age=pupils_by_age, staff=staff, checked_staff=checked_staff
    )
    ages = tuple(sorted({age for age, count in pupils_by_age if count > 0}))
    return ClassAnswer(
        lines=lines,
        adults=(*_staff(problem, staff, checked_staff), *_already_there(problem)),
        tasks=tuple(_task(problem, task, ages) for task in problem.tasks) if ages else (),
        changes=_changes(problem, pupils_by_age, staff, checked_staff, lines),
    )


# --- who counts ------------------------------------------------------------


def _staff(problem: RosterProblem, staff: int, checked: int) -> list[CountedAdults]:
    oldest = max(table.adult_from for table in problem.policy.tables)
    why = "background check in date"
    if oldest > ADULT_AGE:
        why += f"; by one adopted table only from {oldest} years"
    found = [CountedAdults("staff of the class", checked, counts=True, why=why)]
    unchecked = "no background check in date: they count for their own class (GRP-1) only"
    found.append(CountedAdults("staff of the class", staff - checked, counts=False, why=unchecked))
    return [line for line in found if line.number > 0]


def _already_there(problem: RosterProblem) -> list[CountedAdults]:
    """Return adults of the session by what the leading table says of them in its worst round."""
    table = problem.policy.supervision
    reasons: Counter[str] = Counter()
    for person in problem.people:
        if any(person.present) and not needs_supervision(problem, person):
            reasons[_worst_reason(problem, person)] += 1
    counting = reasons.pop("", 0)
    there = f"background check in date, by {table.name}"
    found = [CountedAdults("adults already coming", counting, counts=True, why=there)]
    found += [
        CountedAdults("adults already coming", number, counts=False, why=why)
        for why, number in sorted(reasons.items())
    ]
    return [line for line in found if line.number > 0]


def _worst_reason(problem: RosterProblem, person: Person) -> str:
    """Return why an adult does not count in some round; ages are given without the person's own."""
    table = problem.policy.supervision
    if person.age < table.adult_from:
        return f"under {table.adult_from}, the age from which {table.name} counts adults"
    whys = [
        why_not_supervising(problem, person, table, r)
        for r in range(problem.rounds)
        if person.present[r]
    ]
    return max(whys, key=len)


# --- which work ------------------------------------------------------------


def _task(problem: RosterProblem, task: CrewTask, ages: Sequence[int]) -> TaskForClass:
    matrix = problem.policy.tool_ages
    rows = () if matrix is None else matrix.of_kind(task.kind)
    powered = task in powered_tasks(problem)
    least = max([task.minimum_age, *(row.youngest_allowed for row in rows)])
    if powered:
        least = max(least, ADULT_AGE)
    may = tuple(age for age in ages if age >= least)
    watched = tuple(
        age for age in may if any(row.cell(age).watch is Watch.CONSTANT for row in rows)
    )
    because: list[str] = []
    if len(may) < len(ages):
        because.append(f"Open from {least} years{', it uses a powered tool' * powered}.")
    if watched:
        few = problem.policy.watched_closely_per_adult
        because.append(
            f"Up to {max(watched)} years at arm's reach of an adult"
            + (f", at most {few} to one." if few else ".")
        )
    because += _tool_words(problem, task, may)
    return TaskForClass(
        task.title, may, watched, tuple(age for age in ages if age < least), tuple(because)
    )


def _tool_words(problem: RosterProblem, task: CrewTask, ages: Sequence[int]) -> list[str]:
    """Return what holds for the task's tools at these ages: others in the crew use them."""
    listed = {tool.code: tool for tool in problem.tools}
    matrix = problem.policy.tool_ages
    words: list[str] = []
    for need in task.tools:
        tool = listed.get(need.tool)
        if tool is None or not ages:
            continue
        rows = () if matrix is None else matrix.of_tool(tool.code, powered=tool.powered)
        least = max([tool.minimum_age, *(row.youngest_allowed for row in rows)])
        if min(ages) < least:
            words.append(f"The {tool.name} is for people of {least} or over in the crew.")
        elif tool.briefing or any(row.cell(min(ages)).briefing for row in rows):
            words.append(f"The {tool.name} asks for a briefing signed off beforehand.")
    return words


# --- what to change --------------------------------------------------------


def _changes(
    problem: RosterProblem,
    pupils_by_age: tuple[tuple[int, int], ...],
    staff: int,
    checked_staff: int,
    lines: tuple[SupervisionLine, ...],
) -> tuple[str, ...]:
    supervising = [line for line in lines if line.rule.startswith("SUP") and line.missing]
    found: list[str] = []
    missing = max((line.missing for line in supervising if _in_people(line)), default=0)
    if missing:
        found += _more_adults(problem, pupils_by_age, staff, checked_staff, missing)
    if any(not _in_people(line) for line in supervising):
        found.append("Give the name of whoever assessed the risk, and the day.")
    if any(line.rule == "GRP-1" and line.missing for line in lines):
        found.append("Bring at least one of the school's own staff.")
    short = max((line.missing for line in lines if line.rule == "FA-1"), default=0)
    if short:
        plural = "s" if short > 1 else ""
        found.append(
            f"{number_words(short).capitalize()} more first aider{plural}, of the school or found "
            "by the coordinator."
        )
    return tuple(found)


def _in_people(line: SupervisionLine) -> bool:
    return not line.method.startswith("a risk assessment")


def _more_adults(
    problem: RosterProblem,
    pupils_by_age: tuple[tuple[int, int], ...],
    staff: int,
    checked: int,
    missing: int,
) -> list[str]:
    found: list[str] = []
    unchecked = staff - checked
    if unchecked:
        enough = min(unchecked, missing)
        beside = "" if enough == missing else ", and more checked adults beside them"
        whose = (
            "the one of the staff who has none"
            if unchecked == 1
            else f"{number_words(enough)} of the {unchecked} staff who have none"
        )
        found.append(f"A background check in date for {whose}{beside}.")
    plural = "s" if missing > 1 else ""
    found.append(f"{number_words(missing).capitalize()} more checked adult{plural} with the class.")
    fewer = _fewest_left_out(problem, pupils_by_age, staff, checked)
    if fewer:
        ages = list_words([f"{n} of {age}" for age, n in fewer], most=len(fewer))
        found.append(f"Or fewer pupils: without {ages} years those who come are enough.")
    return found


def _fewest_left_out(
    problem: RosterProblem, pupils_by_age: tuple[tuple[int, int], ...], staff: int, checked: int
) -> tuple[tuple[int, int], ...]:
    """Return the fewest pupils to leave out, the youngest first, that clear supervision."""
    left = dict(sorted(pupils_by_age))
    out: Counter[int] = Counter()
    for _ in range(min(MOST_LEFT_OUT, sum(left.values()) - 1)):
        age = min(age for age, count in left.items() if count > 0)
        left[age] -= 1
        out[age] += 1
        lines = check_group(
            problem, pupils_by_age=tuple(left.items()), staff=staff, checked_staff=checked
        )
        if not any(
            line.missing and line.rule.startswith("SUP") and _in_people(line) for line in lines
        ):
            return tuple(sorted(out.items()))
    return ()
