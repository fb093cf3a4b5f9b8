"""Judge a roster against conditions in plain Python, knowing no solver.

Front door: `find_violations`. Every roster goes through it: those the planner
makes, those edited by hand, those read from a file. Not here: whether a roster
is a good one.

A condition's `tasks` and `rounds` select cells first; the selected cells are
then gathered into groups, and a group counts as worked in when any selected
cell lies in it, whoever's it is.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    Counted,
    Forbid,
    InOrder,
    MinutesAtMost,
    Notice,
    OnlyWith,
    Per,
    Reason,
    Severity,
    Supervised,
    ToolsAtMost,
    adults_asked,
)
from scheduling.domain.gathering import Day, Spot, build_day
from scheduling.domain.people import PersonId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Assignment, Roster
from scheduling.domain.roster_shape import find_shape_findings
from scheduling.domain.rule import Finding
from scheduling.domain.wording import list_words, stop

# What hurts most comes first: a young person unsupervised or with tools too
# dangerous for them, then open holes and struck services, then help in need.
GRAVEST_FIRST = (
    "WEA-1", "SUP-1", "SUP-2", "SUP-3", "SUP-4", "GUA-1", "GRP-1", "AGE-2", "AGE-1", "PWR-2",
    "PWR-1", "HAV-2", "CTM-1", "CLO-1", "LOC-1", "FA-1", "CON-1", "SKL-1", "INS-1", "LOD-1",
    "LED-1", "RST-1", "HAV-1", "STR-1", "HVY-1", "KNE-1", "LIF-1", "SOI-1", "HOL-1", "CAP-1",
    "DAY-1", "TRE-1", "FAC-1", "TOL-1", "PRE-1", "ONE-1", "IDS-1", "CRW-1", "ORD-1", "UNI-1",
)  # fmt: skip

SEVERITIES = (Severity.BLOCKS, Severity.WARNS, Severity.NOTES)


def find_violations(
    problem: RosterProblem, conditions: tuple[Condition, ...], roster: Roster
) -> tuple[Finding, ...]:
    """Return every way in which the roster breaks the conditions or its own shape.

    Args:
        problem: Who may come and what there is to do.
        conditions: What holds, usually `rules.all_conditions(problem)`.
        roster: The roster to judge.

    Returns:
        Findings, what blocks first and then what hurts most; empty when nothing is broken. A cell
        that names an unknown person, task or round is reported and then left
        out of everything else.
    """
    day = build_day(problem, roster)
    findings = list(find_shape_findings(problem, roster))
    for condition in conditions:
        findings += _broken(day, condition)
    return tuple(sorted(findings, key=_gravity))


def _gravity(finding: Finding) -> tuple[int, int, int, int, tuple[PersonId, ...], str]:
    known = finding.rule in GRAVEST_FIRST
    rank = GRAVEST_FIRST.index(finding.rule) if known else len(GRAVEST_FIRST)
    at_round = -1 if finding.round is None else finding.round
    severity = SEVERITIES.index(finding.severity)
    return (severity, rank, at_round, int(finding.task or 0), finding.people, finding.text)


def _broken(day: Day, condition: Condition) -> Iterator[Finding]:
    match condition:
        case Forbid():
            return _forbidden(day, condition)
        case AtLeast():
            return _too_few(day, condition)
        case AtMost():
            return _too_many(day, condition)
        case Balance():
            return _out_of_balance(day, condition)
        case Supervised():
            return _unsupervised(day, condition)
        case OnlyWith():
            return _without(day, condition)
        case Apart():
            return _too_near(day, condition)
        case MinutesAtMost():
            return _too_long(day, condition)
        case ToolsAtMost():
            return _too_many_tools(day, condition)
        case CloseOut():
            return _left_open(day, condition)
        case InOrder():
            return _too_soon(day, condition)
        case Notice():
            return _noticed(condition)


def _finding(
    day: Day,
    reason: Reason,
    spot: Spot,
    what: str,
    people: Iterable[PersonId] = (),
    required: int | None = None,
    found: int | None = None,
) -> Finding:
    text = f"{day.where(spot)}: {what} {reason.text}"
    concerned = tuple(sorted(set(people)))
    return Finding(
        reason.rule, reason.severity, text, reason.source, reason.remedy,
        concerned, spot.task, spot.round, required, found,
    )  # fmt: skip


def _chosen(people: tuple[PersonId, ...] | None) -> Callable[[PersonId], bool]:
    if people is None:
        return lambda _person: True
    return frozenset(people).__contains__


def _forbidden(day: Day, condition: Forbid) -> Iterator[Finding]:
    selected: Iterable[Assignment] = day.cells
    if condition.people is not None:
        people = dict.fromkeys(condition.people)
        selected = (cell for person in people for cell in day.cells_of.get(person, ()))
    refused: dict[Spot, list[PersonId]] = defaultdict(list)
    for cell in selected:
        task_refused = condition.tasks is None or cell.task in condition.tasks
        if task_refused and (condition.rounds is None or cell.round in condition.rounds):
            refused[day.spot(cell, Per.CREW)].append(cell.person)
    for spot, crew in refused.items():
        what = stop(f"not for {day.names(crew)}")
        yield _finding(day, condition.reason, spot, what, crew, 0, len(crew))


def _too_few(day: Day, condition: AtLeast) -> Iterator[Finding]:
    chosen = _chosen(condition.people)
    groups = day.groups(condition.per, condition.tasks, condition.rounds)
    spots = set(_every_spot(day, condition)) if condition.always else set(groups)
    for spot in spots:
        crew = groups.get(spot, [])
        found = sum(chosen(person) for person in crew)
        if found < condition.least:
            what = f"{found} where at least {condition.least} are needed ({day.names(crew)})."
            yield _finding(day, condition.reason, spot, what, crew, condition.least, found)


def _every_spot(day: Day, condition: AtLeast) -> Iterator[Spot]:
    """Return every group that could be worked in, for conditions that always hold."""
    people = tuple(day.people) if condition.people is None else condition.people
    anyone = next(iter(day.people), PersonId(0))
    tasks = tuple(day.tasks) if condition.tasks is None else condition.tasks
    rounds = tuple(range(day.rounds)) if condition.rounds is None else condition.rounds
    for person in people if condition.per is Per.PERSON else (anyone,):
        for round_ in rounds:
            for task in tasks:
                yield day.spot(Assignment(person, round_, task), condition.per)


def _too_many(day: Day, condition: AtMost) -> Iterator[Finding]:
    chosen = _chosen(condition.people)
    groups = day.groups(condition.per, condition.tasks, condition.rounds)
    for spot, crew in groups.items():
        counted = [person for person in crew if chosen(person)]
        if len(counted) > condition.most:
            what = f"{len(counted)} where at most {condition.most} may be ({day.names(counted)})."
            found = len(counted)
            yield _finding(day, condition.reason, spot, what, counted, condition.most, found)


def _weights(counted: tuple[Counted, ...]) -> dict[PersonId, int]:
    weights: dict[PersonId, int] = defaultdict(int)
    for person, weight in counted:
        weights[person] += weight
    return dict(weights)


def _total(crew: Iterable[PersonId], weights: dict[PersonId, int]) -> int:
    return sum(weights.get(person, 0) for person in crew)


def _out_of_balance(day: Day, condition: Balance) -> Iterator[Finding]:
    supplied, asked = _weights(condition.supply), _weights(condition.demand)
    kinds = set(supplied.values())
    for spot, crew in day.groups_with(asked, condition.per):
        supply, demand = _total(crew, supplied), _total(crew, asked)
        if supply >= demand:
            continue
        required, found = demand, supply
        if len(kinds) == 1 and min(kinds) > 0:
            # All who count, count alike: said in people instead of shares.
            each = min(kinds)
            required, found = -(-demand // each), supply // each
        elif not kinds:
            required, found = 1, 0
        asking = [person for person in crew if person in asked]
        what = stop(f"{found} of the {required} needed for {day.names(asking)}")
        yield _finding(day, condition.reason, spot, what, asking, required, found)


def _without(day: Day, condition: OnlyWith) -> Iterator[Finding]:
    people, partners = frozenset(condition.people), _weights(condition.partners)
    for spot, crew in day.groups_with(people, condition.per):
        found = _total(_counting(day, condition, spot, crew), partners)
        if found < condition.least:
            asking = [person for person in crew if person in people]
            what = stop(f"{found} of the {condition.least} needed with {day.names(asking)}")
            yield _finding(day, condition.reason, spot, what, asking, condition.least, found)


def _counting(
    day: Day, condition: OnlyWith | Supervised, spot: Spot, crew: list[PersonId]
) -> Iterable[PersonId]:
    """Return those of a group who are not at a task where they do not count."""
    if not condition.not_at:
        return crew
    cells = (cell for person in dict.fromkeys(crew) for cell in day.cells_of[person])
    tasks = condition.tasks if isinstance(condition, Supervised) else None
    return [
        cell.person
        for cell in cells
        if cell.task not in condition.not_at
        and (tasks is None or cell.task in tasks)
        and day.spot(cell, condition.per) == spot
    ]


def _unsupervised(day: Day, condition: Supervised) -> Iterator[Finding]:
    adults = frozenset(condition.adults)
    sections = [frozenset(section.people) for section in condition.sections]
    young = frozenset(person for section in sections for person in section)
    groups = day.groups(condition.per, condition.tasks, condition.rounds)
    for spot, crew in groups.items():
        asking = [person for person in crew if person in young]
        if not asking:
            continue
        counts = tuple(sum(person in section for person in asking) for section in sections)
        asked = adults_asked(condition, counts)
        found = sum(person in adults for person in _counting(day, condition, spot, crew))
        if found < asked:
            what = stop(f"{found} of the {asked} needed for {day.names(asking)}")
            yield _finding(day, condition.reason, spot, what, asking, asked, found)


def _too_near(day: Day, condition: Apart) -> Iterator[Finding]:
    people = frozenset(condition.people)
    for spot in day.groups(condition.per, condition.tasks):
        near = [person for person in day.everyone[condition.per][spot] if person in people]
        if near:
            what = f"not with {day.names(near)} there."
            yield _finding(day, condition.reason, spot, what, near, 0, len(near))


def _noticed(condition: Notice) -> Iterator[Finding]:
    """Yield the notice as it stands: its text is whole, whatever the roster."""
    reason = condition.reason
    yield Finding(
        reason.rule, reason.severity, reason.text, reason.source, reason.remedy,
        condition.people, condition.task, condition.round, condition.required, condition.found,
    )  # fmt: skip


def _too_long(day: Day, condition: MinutesAtMost) -> Iterator[Finding]:
    minutes = dict(condition.minutes)
    spent: dict[PersonId, int] = defaultdict(int)
    for cell in day.cells:
        spent[cell.person] += minutes.get(cell.task, 0)
    for person in sorted(set(condition.people) & set(spent)):
        if spent[person] > condition.most:
            what = f"{spent[person]} {condition.counted} where at most {condition.most} may be."
            spot = Spot(person=person)
            most, found = condition.most, spent[person]
            yield _finding(day, condition.reason, spot, what, (person,), most, found)


def _too_many_tools(day: Day, condition: ToolsAtMost) -> Iterator[Finding]:
    uses = dict(condition.uses)
    active = {(cell.round, cell.task) for cell in day.cells}
    for round_ in range(day.rounds):
        tasks = sorted(task for r, task in active if r == round_ and uses.get(task, 0) > 0)
        used = sum(uses[task] for task in tasks)
        if used > condition.on_hand:
            titles = list_words([f"“{day.tasks[task].name}”" for task in tasks], most=8)
            what = f"{used} in use where {condition.on_hand} are on hand, at {titles}."
            spot = Spot(round=round_)
            yield _finding(day, condition.reason, spot, what, (), condition.on_hand, used)


def _left_open(day: Day, condition: CloseOut) -> Iterator[Finding]:
    opened = closed = 0
    for round_ in range(day.rounds):
        closed += day.units.get((condition.closes, round_), 0)
        if closed > opened:
            what = f"{closed} filled by its end, {opened} opened in the rounds before."
            spot = Spot(round=round_, task=condition.closes)
            yield _finding(day, condition.reason, spot, what, (), opened, closed)
        opened += day.units.get((condition.opens, round_), 0)
    if closed != opened:
        what = f"at the end {opened} are opened and {closed} filled."
        spot = Spot(task=condition.opens)
        yield _finding(day, condition.reason, spot, what, (), opened, closed)


def _too_soon(day: Day, condition: InOrder) -> Iterator[Finding]:
    done = 0
    at_then = {cell.round for cell in day.cells if cell.task == condition.then}
    for round_ in range(day.rounds):
        if round_ in at_then and done < condition.units:
            what = f"{done} of {condition.units} units are done before it."
            spot = Spot(round=round_, task=condition.then)
            yield _finding(day, condition.reason, spot, what, (), condition.units, done)
        done += day.units.get((condition.first, round_), 0)
