"""The independent judge of a season's answer: the format's sentences in plain loops.

Shares nothing with the planner. Front door: `judge_season`.

What holds in a plan:

- Whole units, not above the item's, inside its window.
- An item starts in a session only when each predecessor is finished: by that session's end where
  marked true, else before it.
- An item that closes another has, at the end of every session, done exactly as many units.
- For every listed set of classes, the minutes of demands that only that set can meet (every class
  of the right band and skill is in it) stay within its capacity.
- Crew-minutes (units × minutes ÷ largest crew, over all demands of the item) stay within
  `most_crews` × `usable_minutes`, within `usable_minutes` for each place, and × tools within
  tools × `usable_minutes`.
- Materials used by the end of a session never exceed what was delivered by then.
- A session with fewer people than an item's smallest crew does none of it.

Better: the sum of value × discount × units, less split penalty × (sessions used - 1), less late
penalty × (sessions from `finish_by` on at whose end the item is unfinished). An item that is never
begun pays no split penalty.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from scheduling.domain.documents.judgement import Broken, Judgement, list_false_claims
from scheduling.domain.documents.season_plan import SeasonAnswer
from scheduling.domain.documents.season_problem import DemandEntry, ItemEntry, SeasonDocument
from scheduling.domain.roster import SolveStatus


@dataclass(frozen=True, slots=True)
class _Season:
    """The answer spread out: units by item and session, counted from 0."""

    document: SeasonDocument
    items: dict[str, ItemEntry]
    units: dict[str, dict[int, int]]

    def by_end_of(self, item: str, session: int) -> int:
        """Return the units of an item done by the end of a session."""
        return sum(units for at, units in self.units[item].items() if at <= session)


def judge_season(document: SeasonDocument, answer: SeasonAnswer) -> Judgement:
    """Return every sentence of the format that a plan breaks, and its objective.

    Args:
        document: The problem.
        answer: A plan for it, from the planner or from anybody.

    Returns:
        What is broken, and the objective counted anew. What names nothing of
        the problem is reported and left out of the rest.
    """
    unknown = list(_unknown(document, answer))
    season = _spread(document, answer)
    broken = (
        *unknown,
        *_each_item(season),
        *_order(season),
        *_closing(season),
        *_capacity(season),
        *_crew_minutes(season),
        *_materials(season),
    )
    stated = () if answer.objective is None else (("objective", answer.objective),)
    bound = () if answer.bound is None else (("objective", answer.bound),)
    counted = (("objective", _count(season)),)
    claims = list_false_claims(counted, bound, is_best=answer.status is SolveStatus.BEST)
    return Judgement(broken, counted, stated, () if broken else claims)


def _unknown(document: SeasonDocument, answer: SeasonAnswer) -> Iterator[Broken]:
    items = {item.id for item in document.items}
    sessions = {session.id for session in document.sessions}
    if answer.problem != document.name:
        text = f"The answer is for “{answer.problem}”, the problem is “{document.name}”."
        yield Broken("problem", text)
    for item, row in answer.units:
        if item not in items:
            yield Broken("names", f"The item “{item}” is not in the problem.")
        for session, _ in row:
            if session not in sessions:
                yield Broken("names", f"“{item}”: session “{session}” is not in the problem.")


def _spread(document: SeasonDocument, answer: SeasonAnswer) -> _Season:
    number = {session.id: index for index, session in enumerate(document.sessions)}
    items = {item.id: item for item in document.items}
    units: dict[str, dict[int, int]] = {name: {} for name in items}
    for item, row in answer.units:
        for session, done in row:
            if item in items and session in number and done:
                units[item][number[session]] = done
    return _Season(
        document, items, {name: dict(sorted(row.items())) for name, row in units.items()}
    )


def _each_item(season: _Season) -> Iterator[Broken]:
    sessions = season.document.sessions
    for name, row in season.units.items():
        item = season.items[name]
        if sum(row.values()) > item.units or min(row.values(), default=0) < 0:
            yield Broken("units", f"“{name}”: {sum(row.values())} units planned of {item.units}.")
        for at in row:
            if not item.window[0] <= at <= item.window[1]:
                yield Broken("window", f"“{name}” is planned in {sessions[at].id}, off its window.")
            if sessions[at].people_expected < item.crew_min:
                text = (
                    f"“{name}” in {sessions[at].id}: {sessions[at].people_expected} people come, "
                )
                yield Broken("crew size", text + f"its crew has at least {item.crew_min}.")


def _order(season: _Season) -> Iterator[Broken]:
    for name, row in season.units.items():
        for before, same in season.items[name].after if row else ():
            start = min(row)
            done = season.by_end_of(before, start if same else start - 1)
            if done < season.items[before].units:
                where = season.document.sessions[start].id
                text = f"“{name}” starts in {where} with {done} units of “{before}” done of "
                yield Broken("order", text + f"{season.items[before].units}.")


def _closing(season: _Season) -> Iterator[Broken]:
    for name, item in season.items.items():
        if item.closes is None:
            continue
        for at in sorted({*season.units[name], *season.units[item.closes]}):
            closed, opened = season.by_end_of(name, at), season.by_end_of(item.closes, at)
            if closed != opened:
                where = season.document.sessions[at].id
                text = f"At the end of {where} “{item.closes}” has {opened} units and “{name}”, "
                yield Broken("closing", text + f"which closes it, {closed}.")
                break


def _able(season: _Season, demand: DemandEntry) -> frozenset[int]:
    return frozenset(
        people.id
        for people in season.document.classes
        if people.band >= demand.least_band
        and (demand.skill is None or demand.skill in people.skills)
    )


def _capacity(season: _Season) -> Iterator[Broken]:
    able: dict[DemandEntry, frozenset[int]] = {}
    asked: list[dict[frozenset[int], int]] = [defaultdict(int) for _ in season.document.sessions]
    for name, row in season.units.items():
        for demand in season.items[name].demands if row else ():
            if demand not in able:
                able[demand] = _able(season, demand)
            for at, units in row.items():
                asked[at][able[demand]] += units * demand.minutes_per_unit
    for session, minutes_of in zip(season.document.sessions, asked, strict=True):
        for among, limit in session.capacity:
            minutes = sum(n for who, n in minutes_of.items() if who <= set(among))
            if minutes > limit:
                text = f"{session.id}: {minutes} minutes of classes {list(among)}, {limit} there."
                yield Broken("capacity", text)


def _crew_minutes(season: _Season) -> Iterator[Broken]:
    count = len(season.document.sessions)
    in_all = [Fraction(0) for _ in range(count)]
    places: list[dict[str, Fraction]] = [defaultdict(Fraction) for _ in range(count)]
    tools: list[dict[str, Fraction]] = [defaultdict(Fraction) for _ in range(count)]
    for name, row in season.units.items():
        item = season.items[name]
        each = Fraction(sum(demand.minutes_per_unit for demand in item.demands), item.crew_max)
        for at, units in row.items():
            in_all[at] += units * each
            places[at][item.place] += units * each
            for tool, number in item.tools:
                tools[at][tool] += units * each * number
    for at, session in enumerate(season.document.sessions):
        if in_all[at] > session.most_crews * session.usable_minutes:
            text = f"{session.id}: {float(in_all[at]):g} crew-minutes for {session.most_crews} "
            yield Broken("crews", text + f"crews of {session.usable_minutes}.")
        for place, minutes in sorted(places[at].items()):
            if minutes > session.usable_minutes:
                text = f"{session.id}: {float(minutes):g} crew-minutes at {place}, "
                yield Broken("place", text + f"{session.usable_minutes} there.")
        on_hand = dict(session.tools)
        for tool, minutes in sorted(tools[at].items()):
            there = on_hand.get(tool, 0)
            if minutes > there * session.usable_minutes:
                text = f"{session.id}: {float(minutes):g} minutes of “{tool}”, {there} on hand for "
                yield Broken("tools", text + f"{session.usable_minutes}.")


def _materials(season: _Season) -> Iterator[Broken]:
    count = len(season.document.sessions)
    used: dict[str, list[int]] = defaultdict(lambda: [0] * count)
    for name, row in season.units.items():
        for material, quantity in season.items[name].materials:
            for at, units in row.items():
                used[material][at] += units * quantity
    deliveries = {one.id: one.deliveries for one in season.document.materials}
    for material, by_session in sorted(used.items()):
        for at, session in enumerate(season.document.sessions):
            needed = sum(by_session[: at + 1])
            there = sum(n for day, n in deliveries.get(material, ()) if day <= at)
            if needed > there:
                text = f"{needed} of {material} used by the end of {session.id}, {there} delivered."
                yield Broken("materials", text)
                break


def _count(season: _Season) -> int:
    document = season.document
    total = 0
    for name, row in season.units.items():
        item = season.items[name]
        total += sum(item.value_per_unit * document.discount[at] * n for at, n in row.items())
        total -= item.split_penalty * max(0, len(row) - 1)
        if item.finish_by is not None:
            total -= item.late_penalty * sum(
                season.by_end_of(name, at) < item.units
                for at in range(item.finish_by, len(document.sessions))
            )
    return total
