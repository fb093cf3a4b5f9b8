"""A judge of rosters that shares nothing with the engine: plain loops over cells.

Follows the words of `scheduling.domain.condition` and the problem documents.
"""

from collections import Counter
from itertools import combinations, product

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Forbid,
    InOrder,
    MinutesAtMost,
    Notice,
    OnlyWith,
    Per,
    Severity,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.points import points_of
from scheduling.domain.roster import Assignment, Roster, TaskUnits
from scheduling.domain.rule_set import Combining


def _groups(problem, per, people, tasks, rounds, filled):
    """Return (every filled cell of the group) for each group there is."""
    chosen = [t for t in problem.tasks if tasks is None or t.id in tasks]
    when = [r for r in range(problem.rounds) if rounds is None or r in rounds]
    ids = {t.id for t in chosen}
    inside = [c for c in filled if c[1] in ids and c[2] in when]
    if per is Per.CREW:
        return [[c for c in inside if c[1] == t.id and c[2] == r] for t in chosen for r in when]
    if per is Per.ZONE:
        zone_of = {t.id: t.zone for t in problem.tasks}
        zones = sorted({t.zone for t in chosen})
        return [
            [c for c in inside if zone_of[c[1]] == z and c[2] == r] for z in zones for r in when
        ]
    if per is Per.ROUND:
        return [[c for c in inside if c[2] == r] for r in when]
    if per is Per.PERSON:
        who = [p.id for p in problem.people if people is None or p.id in people]
        return [[c for c in inside if c[0] == p] for p in who]
    return [inside]


def _counted(group, counts):
    weight = dict(counts)
    return sum(weight.get(c[0], 0) for c in group)


def _enough(condition, group) -> bool:
    """Say whether the adults of a group are enough, adult by adult and child by child."""
    numbers = [sum(1 for c in group if c[0] in s.people) for s in condition.sections]
    there = [(s, n) for s, n in zip(condition.sections, numbers, strict=True) if n]
    if not there:
        return True
    adults = sum(1 for c in group if c[0] in condition.adults and c[1] not in condition.not_at)
    if adults < max(condition.least, *(s.least for s, _ in there)):
        return False
    watching = adults - condition.plus - sum(s.plus for s, _ in there)
    if watching < 0:
        return False
    rated = [(s.per_adult, n) for s, n in there if s.per_adult]
    if not rated:
        return True
    if condition.combining is Combining.YOUNGEST:
        return watching * min(r for r, _ in rated) >= sum(n for _, n in there)
    if condition.combining is Combining.SECTIONS:
        lists = 0  # one adult's list after the other, each of one section only
        for ratio, number in rated:
            while number > 0:
                number -= ratio
                lists += 1
        return watching >= lists
    whole = 1
    for ratio, _ in rated:
        whole *= ratio
    return watching * whole >= sum(n * (whole // ratio) for ratio, n in rated)


def obeys(problem, condition, filled, units) -> bool:
    """Say whether filled cells (person, task, round) and units obey one condition.

    A condition that only warns or notes asks for nothing.
    """
    if condition.reason.severity is not Severity.BLOCKS:
        return True

    def named(cells, people):
        return [c for c in cells if people is None or c[0] in people]

    match condition:
        case Forbid(_, people, tasks, rounds):
            return not named(_groups(problem, Per.SESSION, None, tasks, rounds, filled)[0], people)
        case AtLeast(_, least, people, tasks, per, rounds, always):
            return all(
                len(named(g, people)) >= least
                for g in _groups(problem, per, people if always else None, tasks, rounds, filled)
                if g or always
            )
        case AtMost(_, most, people, tasks, per, rounds):
            return all(
                len(named(g, people)) <= most
                for g in _groups(problem, per, people, tasks, rounds, filled)
            )
        case Balance(_, supply, demand, per):
            return all(
                _counted(g, supply) >= _counted(g, demand)
                for g in _groups(problem, per, None, None, None, filled)
            )
        case Supervised(per=per, rounds=rounds, tasks=tasks):
            return all(
                _enough(condition, g) for g in _groups(problem, per, None, tasks, rounds, filled)
            )
        case Apart(_, people, tasks, per):
            return not any(
                any(c[1] in tasks for c in g) and named(g, people)
                for g in _groups(problem, per, None, None, None, filled)
            )
        case Notice():
            return True
        case OnlyWith(_, people, partners, least, per, not_at):
            return all(
                _counted([c for c in g if c[1] not in not_at], partners) >= least
                for g in _groups(problem, per, None, None, None, filled)
                if named(g, people)
            )
        case MinutesAtMost(_, people, minutes, most):
            each = dict(minutes)
            return all(sum(each.get(c[1], 0) for c in filled if c[0] == p) <= most for p in people)
        case ToolsAtMost(_, _, on_hand, uses):
            return all(
                sum(n for t, n in uses if any(c[1] == t and c[2] == r for c in filled)) <= on_hand
                for r in range(problem.rounds)
            )
        case CloseOut(_, opens, closes):
            done = {
                t: [units.get((t, r), 0) for r in range(problem.rounds)] for t in (opens, closes)
            }
            ahead = any(
                sum(done[closes][: r + 1]) > sum(done[opens][:r]) for r in range(problem.rounds)
            )
            return not ahead and sum(done[opens]) == sum(done[closes])
        case InOrder(_, first, needed, then):
            begun = [r for p, t, r in filled if t == then]
            return all(sum(units.get((first, e), 0) for e in range(r)) >= needed for r in begun)
    raise AssertionError(condition)


def unit_plans(problem, filled):
    """Yield every way of placing whole units that the points allow."""
    points = {p.id: points_of(problem, p) for p in problem.people}
    options = []
    for task in problem.tasks:
        put_in = [
            sum(points[p] for p, t, r in filled if t == task.id and r <= last)
            for last in range(problem.rounds)
        ]
        options.append(
            [
                combination
                for combination in product(range(task.units + 1), repeat=problem.rounds)
                if sum(combination) <= task.units
                and all(
                    sum(combination[: r + 1]) * task.points_per_unit <= put_in[r]
                    for r in range(problem.rounds)
                )
            ]
        )
    for chosen in product(*options):
        yield {
            (task.id, r): n
            for task, combination in zip(problem.tasks, chosen, strict=True)
            for r, n in enumerate(combination)
        }


def fillings(problem):
    """Yield every way of giving each present person one task or none in each round."""
    slots = [(p.id, r) for p in problem.people for r in range(problem.rounds) if p.present[r]]
    choices = [None, *(t.id for t in problem.tasks)]
    for chosen in product(choices, repeat=len(slots)):
        yield [(p, t, r) for (p, r), t in zip(slots, chosen, strict=True) if t is not None]


def as_roster(filled, units) -> Roster:
    """Return cells and units as a roster."""
    return Roster(
        tuple(Assignment(p, r, t) for p, r, t in sorted((p, r, t) for p, t, r in filled)),
        tuple(TaskUnits(t, r, n) for (t, r), n in sorted(units.items()) if n),
    )


def from_roster(roster: Roster):
    """Return a roster as cells and units."""
    units: Counter = Counter()
    for part in roster.units:
        units[part.task, part.round] += part.units
    return [(a.person, a.task, a.round) for a in roster.assignments], units


def gladly(person, task, on):
    """Return the points of liking of one person for a round at a task, by the documents' words."""
    liking = dict(person.preferences).get(task.kind, 0)
    liking += person.heavy_liking if task.heavy else 0
    held = {skill.skill for skill in person.skills if on <= skill.last_day}
    asked = {need.skill for need in task.skills if need.count}
    teaches = bool(asked & (set(person.wished_skills) - held))
    past, due = person.past, 0
    if past is not None and past.sessions > 0:
        never_liked = liking > 0 and past.liked == 0
        never_taught = teaches and past.learned == 0
        turn = min(past.sessions, 2) if never_liked or never_taught else 0
        due += max(turn, _step(past.even_liked - past.liked) if liking > 0 else 0)
        due += _step(past.idle - past.even_idle)
        due -= _step(past.heavy - past.even_heavy) if task.heavy and liking <= 0 else 0
        due -= _step(past.disliked - past.even_disliked) if liking < 0 else 0
        due -= 1 if task.kind in past.again and liking <= 0 else 0
    return liking + (1 if teaches else 0) + sorted((-2, due, 2))[1]


def _step(above):
    return 2 if above >= 3 else 1 if above >= 1 else 0


def worth(problem, filled, units):
    """Return the staged objective by the words of the problem documents, better when larger."""
    done: Counter = Counter()
    for (task, _), n in units.items():
        done[task] += n
    left = sum(t.value_per_unit * (t.units - done[t.id]) for t in problem.tasks if t.required)
    other = sum(t.value_per_unit * done[t.id] for t in problem.tasks if not t.required)
    at = {(p, r): t for p, t, r in filled}
    here = {p.id: p for p in problem.people}
    changes = sum(
        1
        for p, r, t in problem.published
        if p in here and here[p].present[r] and at.get((p, r)) != t
    )
    work = {t.id: t for t in problem.tasks}
    liked = sum(gladly(here[p], work[t], problem.on) for p, t, r in filled)
    for p, q in combinations(here, 2):
        if q in here[p].companions and p in here[q].companions:
            liked += sum(
                1 for r in range(problem.rounds) if (p, r) in at and at[p, r] == at.get((q, r))
            )
    unpaired = 0
    for task in problem.tasks:
        for r in range(problem.rounds):
            crew = [
                here[p].experience for p, t, at_round in filled if (t, at_round) == (task.id, r)
            ]
            unpaired += max(0, crew.count(0) - 2 * crew.count(2))
    heavy = {t.id for t in problem.tasks if t.heavy}
    most = max((sum(1 for p, t, r in filled if p == q and t in heavy) for q in here), default=0)
    w = problem.weights
    comfort = w.preference * liked - w.unpaired_novice * unpaired - w.most_heavy_rounds * most
    return (-left, other, -changes, comfort)


def best_worth(problem, conditions):
    """Return the best staged objective over every roster there is; None when there is none."""
    best = None
    for filled in fillings(problem):
        by_cells = [c for c in conditions if not isinstance(c, CloseOut)]
        if not all(obeys(problem, c, filled, {}) for c in by_cells):
            continue
        closing = [c for c in conditions if isinstance(c, CloseOut)]
        for units in unit_plans(problem, filled):
            if all(obeys(problem, c, filled, units) for c in closing):
                value = worth(problem, filled, units)
                best = value if best is None or value > best else best
    return best
