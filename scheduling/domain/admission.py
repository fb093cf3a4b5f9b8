"""May these people come: asked at sign-up, before there is a roster.

Front doors: `check_admission`, and `check_group` (from `group_check`) for a class
known only by numbers. What is checked is necessary, not sufficient: a roster
can still be impossible for people who were each let in, and the planner says so.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from orchard.domain.errors import RosterError
from scheduling.domain.condition import (
    AtLeast,
    Balance,
    Condition,
    Forbid,
    OnlyWith,
    Per,
    Reason,
    Supervised,
    binding_conditions,
)
from scheduling.domain.first_aid import first_aiders_short
from scheduling.domain.group_check import SupervisionLine, check_group
from scheduling.domain.headcount import (
    count_company,
    first_aid_gap,
    with_more_adults,
    without_people,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import GRAVEST_FIRST
from scheduling.domain.wording import list_words, number_words, round_words

__all__ = ("AdmissionAnswer", "SupervisionLine", "check_admission", "check_group")

SUPERVISION = ("SUP-1", "SUP-2", "SUP-3", "SUP-4")
FIRST_AID = "FA-1"
SEVERITIES = (Severity.BLOCKS, Severity.WARNS, Severity.NOTES)


@dataclass(frozen=True, slots=True)
class AdmissionAnswer:
    """Whether the newcomers may come, and what stands in the way or is worth knowing."""

    allowed: bool
    findings: tuple[Finding, ...]


def check_admission(problem: RosterProblem, newcomers: tuple[PersonId, ...]) -> AdmissionAnswer:
    """Return whether the newcomers may come, with what would clear each obstacle.

    A condition that every crew must meet is judged on everybody who is there
    in a round at once: a sum over crews of inequalities that each must hold
    must hold too. So a refusal here is certain, a yes is not a promise.

    Args:
        problem: Everyone confirmed together with the newcomers.
        newcomers: Those who ask to come; a guardian and child ask together.

    Returns:
        Blocked when a newcomer is left no task in any round by refusals that
        name them, when a newcomer is among those who would be there without
        enough supervision, or when the newcomers make first aid fall short.
        What others must still see to (locates, skills, a first aider not
        found yet) warns or notes.

    Raises:
        RosterError: If a newcomer is not in the problem.
    """
    missing = sorted(set(newcomers) - {person.id for person in problem.people})
    if missing:
        raise RosterError(
            f"Nobody with number {missing[0]} is among the people of {problem.name}; add them to "
            "the problem before asking whether they may come."
        )
    conditions = binding_conditions(all_conditions(problem))
    blocking = _blocking(problem, conditions, newcomers)
    findings = [_with_remedy(problem, newcomers, blocking, finding) for finding in blocking]
    findings += _closed_for_all(problem, conditions, newcomers)
    findings += _first_aid_not_yet(problem, newcomers)
    findings += _short_of_people(problem, conditions)
    return AdmissionAnswer(not blocking, tuple(sorted(findings, key=_order)))


def _order(finding: Finding) -> tuple[int, int, tuple[PersonId, ...], str]:
    rank = {code: place for place, code in enumerate(GRAVEST_FIRST)}
    severity = SEVERITIES.index(finding.severity)
    return (severity, rank.get(finding.rule, len(rank)), finding.people, finding.text)


def _blocking(
    problem: RosterProblem, conditions: tuple[Condition, ...], newcomers: tuple[PersonId, ...]
) -> tuple[Finding, ...]:
    found = _merged(
        f for person in newcomers for f in _left_without_work(problem, conditions, person)
    )
    refused = {(finding.rule, person) for finding in found for person in finding.people}
    for condition in conditions:
        if isinstance(condition, Balance | OnlyWith | Supervised) and _is_certain(
            problem, condition
        ):
            finding = _unsupervised(problem, condition, newcomers, refused)
            found += [finding] if finding is not None else []
    return (*found, *_first_aid_lost(problem, newcomers))


def _merged(findings: Iterable[Finding]) -> list[Finding]:
    """Return findings with one reason as one, with everybody it concerns."""
    people: dict[tuple[str, str], set[PersonId]] = defaultdict(set)
    first: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        key = (finding.rule, finding.text)
        people[key] |= set(finding.people)
        first.setdefault(key, finding)
    return [replace(f, people=tuple(sorted(people[key]))) for key, f in first.items()]


# --- work that is left for one person -------------------------------------


Cell = tuple[TaskId | None, int]


def _cells(problem: RosterProblem, person: Person) -> tuple[Cell, ...]:
    """Return the tasks and rounds open to a person; None stands for work not planned yet."""
    tasks: Sequence[TaskId | None] = [task.id for task in problem.tasks] or [None]
    return tuple((t, r) for r in range(problem.rounds) if person.present[r] for t in tasks)


def _refuses(condition: Forbid, cell: Cell) -> bool:
    task, round_ = cell
    return (condition.tasks is None or task in condition.tasks) and (
        condition.rounds is None or round_ in condition.rounds
    )


def _person(problem: RosterProblem, person: PersonId) -> Person:
    return next(p for p in problem.people if p.id == person)


def _personal(conditions: tuple[Condition, ...], person: PersonId) -> list[Forbid]:
    return [
        c
        for c in conditions
        if isinstance(c, Forbid) and c.people is not None and person in c.people
    ]


def _left_without_work(
    problem: RosterProblem, conditions: tuple[Condition, ...], person_id: PersonId
) -> Iterator[Finding]:
    """Yield the reasons when the refusals that name a person leave them nothing."""
    person = _person(problem, person_id)
    cells = _cells(problem, person)
    if not cells:
        text = f"{person.name} is not there in any round of the session."
        reason = Reason("PRE-1", text, "The meaning of a roster", "Choose at least one round.")
        yield _finding(reason, Severity.BLOCKS, (person_id,))
        return
    personal = _personal(conditions, person_id)
    if any(not any(_refuses(c, cell) for c in personal) for cell in cells):
        return
    seen: set[tuple[str, str]] = set()
    for condition in personal:
        key = (condition.reason.rule, condition.reason.text)
        if key not in seen and any(_refuses(condition, cell) for cell in cells):
            seen.add(key)
            yield _finding(condition.reason, Severity.BLOCKS, (person_id,))


def _closed_for_all(
    problem: RosterProblem, conditions: tuple[Condition, ...], newcomers: tuple[PersonId, ...]
) -> Iterator[Finding]:
    """Yield warnings for newcomers whose only work waits for something the site must do."""
    closed = [
        c for c in conditions if isinstance(c, Forbid) and c.people is None and c.tasks is not None
    ]
    waiting: dict[Reason, list[PersonId]] = defaultdict(list)
    for person_id in newcomers:
        personal = _personal(conditions, person_id)
        cells = _cells(problem, _person(problem, person_id))
        left = [cell for cell in cells if not any(_refuses(c, cell) for c in personal)]
        if left and all(any(_refuses(c, cell) for c in closed) for cell in left):
            for condition in closed:
                if any(_refuses(condition, cell) for cell in left):
                    waiting[condition.reason].append(person_id)
    for reason, people in waiting.items():
        yield _finding(reason, Severity.WARNS, tuple(people))


def _finding(
    reason: Reason,
    severity: Severity,
    people: tuple[PersonId, ...],
    *,
    text: str = "",
    round_: int | None = None,
    required: int | None = None,
    found: int | None = None,
) -> Finding:
    return Finding(
        reason.rule, severity, text or reason.text, reason.source, reason.remedy,
        people, None, round_, required, found,
    )  # fmt: skip


# --- company and supervision, over everybody there ------------------------


def _unsupervised(
    problem: RosterProblem,
    condition: Balance | OnlyWith | Supervised,
    newcomers: tuple[PersonId, ...],
    refused: set[tuple[str, PersonId]],
) -> Finding | None:
    """Return what a condition lacks in its worst round, if newcomers are among those who ask."""
    asks = _asking(condition)
    shortfalls: list[tuple[int, int, int, int]] = []
    concerned: set[PersonId] = set()
    for round_ in _rounds_of(problem, condition):
        here = {person.id for person in problem.people if person.present[round_]}
        asking = here & set(asks)
        new = {p for p in asking & set(newcomers) if (condition.reason.rule, p) not in refused}
        required, found = count_company(condition, here, asking)
        if new and found < required:
            shortfalls.append((required - found, -round_, required, found))
            concerned |= new
    if not shortfalls:
        return None
    _, minus_round, required, found = max(shortfalls)
    rounds = sorted(-short[1] for short in shortfalls)
    names = list_words([_person(problem, p).name for p in sorted(concerned)])
    text = (
        f"With {names} there, {round_words(rounds)} would have {found} of the {required} needed. "
        f"{condition.reason.text}"
    )
    return _finding(
        condition.reason,
        Severity.BLOCKS,
        tuple(sorted(concerned)),
        text=text,
        round_=-minus_round,
        required=required,
        found=found,
    )


def _is_certain(problem: RosterProblem, condition: Balance | OnlyWith | Supervised) -> bool:
    """Say whether nobody can get round a condition by working at another task."""
    if not isinstance(condition, Supervised) or condition.tasks is None:
        return True
    return {task.id for task in problem.tasks} <= set(condition.tasks)


def _asking(condition: Balance | OnlyWith | Supervised) -> set[PersonId]:
    match condition:
        case OnlyWith():
            return set(condition.people)
        case Supervised():
            return {person for section in condition.sections for person in section.people}
        case Balance():
            return {person for person, _ in condition.demand}


def _rounds_of(
    problem: RosterProblem, condition: Balance | OnlyWith | Supervised
) -> tuple[int, ...]:
    if isinstance(condition, Supervised) and condition.rounds is not None:
        return condition.rounds
    return tuple(range(problem.rounds))


# --- first aid -------------------------------------------------------------


def _first_aid(
    problem: RosterProblem, newcomers: tuple[PersonId, ...], *, lost: bool
) -> Iterator[Finding]:
    """Yield at most one finding: first aid fell short by the newcomers, or already was."""
    before = without_people(problem, newcomers)
    short: list[tuple[int, int, int, int]] = []
    for round_ in range(problem.rounds):
        people, needed, there = first_aid_gap(problem, round_)
        was_people, was_needed, was_there = first_aid_gap(before, round_)
        was_enough = was_people > 0 and was_there >= was_needed
        if there < needed and was_enough == lost:
            more = first_aiders_short(problem, people, there)
            short.append((more, -round_, needed, there))
    if not short:
        return
    more, minus_round, needed, there = max(short)
    rounds = round_words(sorted(-entry[1] for entry in short))
    share = problem.policy.people_per_first_aider
    text = (
        f"In {rounds} the people there need {needed} with first aid in date, one for each {share} "
        f"or part; {there} signed up."
    )
    people_words = "first aider" if more == 1 else "first aiders"
    remedy = f"{number_words(more).capitalize()} more {people_words} would be enough."
    source = "One for each 25 people or part: proposed, stricter than the HSE first-aid table"
    reason = Reason(FIRST_AID, text, source, remedy)
    severity = Severity.BLOCKS if lost else Severity.NOTES
    people_named = tuple(sorted(newcomers)) if lost else ()
    yield _finding(
        reason, severity, people_named, round_=-minus_round, required=needed, found=there
    )


def _first_aid_lost(problem: RosterProblem, newcomers: tuple[PersonId, ...]) -> tuple[Finding, ...]:
    return tuple(_first_aid(problem, newcomers, lost=True))


def _first_aid_not_yet(
    problem: RosterProblem, newcomers: tuple[PersonId, ...]
) -> tuple[Finding, ...]:
    return tuple(_first_aid(problem, newcomers, lost=False))


# --- the smallest change that would clear it -------------------------------


def _with_remedy(
    problem: RosterProblem,
    newcomers: tuple[PersonId, ...],
    blocking: tuple[Finding, ...],
    finding: Finding,
) -> Finding:
    """Return the finding with the number of people that would clear it, tried before it is said."""
    if finding.rule == FIRST_AID:
        kind, skill = "first aider", problem.first_aid_skill
        people, _, there = first_aid_gap(problem, finding.round or 0)
        more = first_aiders_short(problem, people, there)
    elif finding.rule in SUPERVISION:
        kind, skill = "checked adult", ""
        # Each finding is short in its worst round; whoever clears the worst clears them all.
        more = max((f.required or 0) - (f.found or 0) for f in blocking if f.rule in SUPERVISION)
    else:
        return finding
    trial = with_more_adults(problem, more, skill)
    cleared = not _blocking(trial, binding_conditions(all_conditions(trial)), newcomers)
    who = _these(problem, newcomers)
    ending = f"{who} can come" if cleared else f"that is enough of them for {who}"
    plural = "" if more == 1 else "s"
    words = number_words(more).capitalize()
    return replace(finding, remedy=f"{words} more {kind}{plural} and {ending}.")


def _these(problem: RosterProblem, newcomers: tuple[PersonId, ...]) -> str:
    if len(newcomers) == 1:
        return _person(problem, newcomers[0]).name
    return f"these {number_words(len(newcomers))}"


# --- what the day still lacks ----------------------------------------------


def _short_of_people(
    problem: RosterProblem, conditions: tuple[Condition, ...]
) -> Iterator[Finding]:
    """Yield a note for each task that too few people could do in any round."""
    for condition in conditions:
        if not isinstance(condition, AtLeast) or condition.per is not Per.CREW:
            continue
        able = None if condition.people is None else set(condition.people)
        most = max(
            (
                sum(p.present[r] and (able is None or p.id in able) for p in problem.people)
                for r in range(problem.rounds)
            ),
            default=0,
        )
        if most < condition.least:
            yield _finding(
                condition.reason, Severity.NOTES, (), required=condition.least, found=most
            )
