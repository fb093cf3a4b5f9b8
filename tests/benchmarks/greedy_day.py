"""A day's roster as a careful person makes it by hand: round by round, never going back.

Required work first, what closes holes before what opens more, a lead and the asked skills
into each crew, then hands while there is use for them; young people only where they are
watched; everybody rests when due. It breaks no rule and is what the engine must never be
worse than. Not a part of the engine. Front door: `make_day_by_hand`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from tests.benchmarks.day_words import count_units, judge_day, rank, worth_of
from tests.benchmarks.plain_day import ADULT, LEAST_WITH_YOUNG, UNDER_12, band_of, holds, may_do

Document = dict[str, Any]
Party = tuple[Document, ...]  # people who join a crew together


@dataclass(slots=True)
class _ByHand:
    """A roster being made."""

    problem: Document
    turns: int  # in how many shifts people take their rest; 0: only when the rule asks
    doing: dict[str, list[str | None]] = field(init=False)
    put_in: dict[str, list[int]] = field(init=False)
    tasks: dict[str, Document] = field(init=False)
    closer_of: dict[str, Document] = field(init=False)
    rests_in: dict[str, int] = field(default_factory=dict)
    scarce: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        problem = self.problem
        self.doing = {p["id"]: [None] * problem["rounds"] for p in problem["people"]}
        self.put_in = {t["id"]: [0] * problem["rounds"] for t in problem["tasks"]}
        self.tasks = {t["id"]: t for t in problem["tasks"]}
        self.closer_of = {t["closes"]: t for t in problem["tasks"] if t["closes"] is not None}
        for person in problem["people"]:
            held = [s for s in person["skills"] if holds(person, s, problem["on"])]
            self.scarce[person["id"]] = len(held) + (problem["rules"]["lead_skill"] in held)
        if self.turns:
            self._take_turns()

    def _take_turns(self) -> None:
        """Give everybody a round of rest in the middle, those with the same skills in turn."""
        rounds = self.problem["rounds"]
        in_order = sorted(self.problem["people"], key=lambda p: sorted(p["skills"]))
        for number, person in enumerate(in_order):
            most = self.problem["rules"]["rounds_before_rest"][band_of(person["age"])]
            fitting = range(max(0, rounds - 1 - most), min(most, rounds - 1) + 1)
            if most < rounds and fitting:
                middle = [*fitting][: self.turns]
                self.rests_in[person["id"]] = middle[number % len(middle)]

    def is_free(self, person: Document, task: Document, round_: int) -> bool:
        """Say whether a person may take a task in a round, rest and repeats obeyed."""
        mine, rules = self.doing[person["id"]], self.problem["rules"]
        if mine[round_] is not None or not may_do(self.problem, person, task, round_):
            return False
        if self.rests_in.get(person["id"]) == round_:
            return False
        done = [self.tasks.get(name or "") for name in mine[:round_]]
        if (
            _run([one is not None for one in done])
            >= rules["rounds_before_rest"][band_of(person["age"])]
        ):
            return False
        heavy = _run([one is not None and one["heavy"] for one in done])
        if task["heavy"] and heavy >= rules["heavy_rounds_in_a_row"]:
            return False
        knelt = sum(one is not None and one["kneeling"] for one in done)
        if (
            task["kneeling"]
            and "no long kneeling" in person["restrictions"]
            and knelt >= rules["long_kneeling_rounds"]
        ):
            return False
        return self._powered_min(person, [*done, task]) <= rules["powered_minutes_per_person"]

    def _powered_min(self, person: Document, tasks: list[Document | None]) -> int:
        return sum(
            task["powered_minutes_per_round"]
            for task in tasks
            if task is not None
            and any(holds(person, skill, self.problem["on"]) for skill in task["skills"])
        )

    def keeps_first_aid(self, crew: list[Document], task: Document, round_: int) -> bool:
        """Say whether somebody with first aid stays off heavy and powered work."""
        aid, on = self.problem["rules"]["first_aid_skill"], self.problem["on"]
        joining = {p["id"] for p in crew} if _is_hard(task) else set()
        for person in self.problem["people"]:
            now = self.tasks.get(self.doing[person["id"]][round_] or "")
            if (
                person["present"][round_]
                and holds(person, aid, on)
                and person["id"] not in joining
                and (now is None or not _is_hard(now))
            ):
                return True
        return False

    def wanted_points(self, task: Document, round_: int) -> int:
        """Return the points there is use for at a task in a round."""
        name, each = task["id"], task["points_per_unit"]
        there = self.put_in[name][round_]
        if task["closes"] is None:
            is_too_late = name in self.closer_of and round_ == self.problem["rounds"] - 1
            return 0 if is_too_late else task["units"] * each - there
        opener = self.tasks[task["closes"]]
        before = self.put_in[opener["id"]][round_ - 1] if round_ else 0
        opened = min(opener["units"], before // opener["points_per_unit"], task["units"])
        return int(opened * each - there)

    def order(self, round_: int) -> list[Document]:
        """Return the tasks there is use for, what matters most first."""

        def key(task: Document) -> tuple[Any, ...]:
            closer = self.closer_of.get(task["id"])
            value, points = task["value_per_unit"], task["points_per_unit"]
            required = task["required"]
            if closer is not None:
                value, points = value + closer["value_per_unit"], points + closer["points_per_unit"]
                required = required or closer["required"]
            closes = task["closes"] is not None
            return (not required, not closes, -value / points, task["id"])

        wanted = [t for t in self.problem["tasks"] if self.wanted_points(t, round_) > 0]
        return sorted(wanted, key=key)

    def run(self) -> None:
        """Make every round."""
        for round_ in range(self.problem["rounds"]):
            for task in self.order(round_):
                crew = self._make_crew(task, round_)
                for person in crew:
                    self.doing[person["id"]][round_] = task["id"]
                points = sum(self._points(person) for person in crew)
                for later in range(round_, self.problem["rounds"]):
                    self.put_in[task["id"]][later] += points

    def _points(self, person: Document) -> int:
        return int(self.problem["rules"]["points_per_round"][band_of(person["age"])])

    def _make_crew(self, task: Document, round_: int) -> list[Document]:
        """Return a crew for a task, or nobody."""
        if not self._has_tools(task, round_):
            return []
        crew: list[Document] = []
        lead = self.problem["rules"]["lead_skill"]
        # Rarer skills first: one person may bring both.
        for skill, count in (*task["skills"].items(), (lead, 1)):
            while sum(holds(p, skill, self.problem["on"]) for p in crew) < count:
                able = [
                    p
                    for p in self._by_fitness(task, round_, crew)
                    if holds(p, skill, self.problem["on"])
                    and p["age"] >= ADULT
                    and self.keeps_first_aid([*crew, p], task, round_)
                ]
                if not able:
                    return []
                both = (p for p in able if holds(p, lead, self.problem["on"]))
                crew.append(next(both, able[0]))
        for party in self._parties(task, round_, crew):
            enough = sum(self._points(p) for p in crew) >= self.wanted_points(task, round_)
            if enough and len(crew) >= task["crew"]["min"]:
                break
            if self._may_join(party, crew, task, round_):
                crew += [p for p in party if p not in crew]
        fits = task["crew"]["min"] <= len(crew) <= task["crew"]["max"]
        return crew if fits and self._is_watched(crew, task, round_) else []

    def _by_fitness(self, task: Document, round_: int, crew: list[Document]) -> list[Document]:
        """Return who may join: who was told so first, those with skills others need last."""
        here = {p["id"] for p in crew}
        told = self.problem["published"] or {}

        def key(person: Document) -> tuple[Any, ...]:
            row = told.get(person["id"])
            other = 1 if row is None or row[round_] is None else 2 * (row[round_] != task["id"])
            liking = person["preferences"].get(task["kind"], 0)
            return (other, self.scarce[person["id"]], -liking, person["id"])

        free = (p for p in self.problem["people"] if self.is_free(p, task, round_))
        return sorted((p for p in free if p["id"] not in here), key=key)

    def _parties(self, task: Document, round_: int, crew: list[Document]) -> Iterator[Party]:
        """Yield who could join, together: guardians with their wards, pupils with their staff."""
        fit = self._by_fitness(task, round_, crew)
        by_id = {p["id"]: p for p in (*crew, *fit)}
        wards = {p["guardian"]: p for p in fit if p["age"] < UNDER_12 and p["guardian"] in by_id}
        part = self.problem["rules"]["smallest_class_part"]
        for group in sorted({p["staff_of"] for p in by_id.values()} - {None}):
            pupils = [p for p in fit if p["group"] == group][:part]
            staff = [p for p in by_id.values() if p["staff_of"] == group]
            if pupils:
                yield (staff[0], *pupils)
        for person in fit:
            if person["id"] in wards:
                yield (person, wards[person["id"]])
            yield (person,)

    def _may_join(self, party: Party, crew: list[Document], task: Document, round_: int) -> bool:
        joined = [*crew, *(p for p in party if p not in crew)]
        return (
            not any(p in crew for p in party[1:])
            and len(joined) > len(crew)
            and len(joined) <= task["crew"]["max"]
            and self.keeps_first_aid(joined, task, round_)
            and self._is_watched(joined, task, round_)
            and all(p not in crew or len(party) > 1 for p in party)
        )

    def _is_watched(self, crew: list[Document], task: Document, round_: int) -> bool:
        """Say whether the young of a crew are watched as the rules ask."""
        rules, young = self.problem["rules"], [p for p in crew if p["age"] < ADULT]
        if not young:
            return True
        checked = [p for p in crew if p["checked"] and p["age"] >= ADULT]
        weight = sum(rules["supervision"]["weights"][band_of(p["age"])] for p in young)
        near = sum(
            p["checked"] and p["age"] >= ADULT
            for p in self.problem["people"]
            if (name := self.doing[p["id"]][round_]) and self.tasks[name]["zone"] == task["zone"]
        )
        here = {p["id"] for p in crew}
        groups = {p["group"] for p in young} - {None}
        return (
            len(checked) * rules["supervision"]["denominator"] >= weight
            and len(crew) >= LEAST_WITH_YOUNG
            and near + len(checked) >= rules["checked_adults_per_zone"]
            and all(p["age"] >= UNDER_12 or p["guardian"] in (None, *here) for p in young)
            and all(
                sum(p["group"] == group for p in young) >= rules["smallest_class_part"]
                and any(p["staff_of"] == group for p in crew)
                for group in groups
            )
        )

    def _has_tools(self, task: Document, round_: int) -> bool:
        crews = {row[round_] for row in self.doing.values()} - {None}
        return all(
            sum(self.tasks[name]["tools"].get(tool, 0) for name in crews) + count
            <= self.problem["tools"].get(tool, 0)
            for tool, count in task["tools"].items()
        )


def _is_hard(task: Document) -> bool:
    return bool(task["heavy"] or task["powered_minutes_per_round"])


def _run(flags: list[bool]) -> int:
    """Return how many at the end are true without a gap."""
    count = 0
    for flag in reversed(flags):
        if not flag:
            break
        count += 1
    return count


def make_day_by_hand(problem: Document) -> Document:
    """Return the better of a few rosters made by hand, by how people take turns to rest."""
    made = []
    for turns in (0, 2, 3):
        by_hand = _ByHand(problem, turns)
        by_hand.run()
        rows = by_hand.doing
        in_rounds = [
            tuple(rows[p["id"]][round_] for p in problem["people"])
            for round_ in range(problem["rounds"])
        ]
        units = count_units(problem, in_rounds)
        made.append(
            {
                "format": "day-roster/1",
                "problem": problem["name"],
                "status": "good",
                "assignments": rows,
                "units": units,
                "objective": worth_of(problem, in_rounds, units),
            }
        )
    best = max(made, key=lambda roster: rank(roster["objective"]))
    if judge_day(problem, best):  # nobody with first aid is there at all
        return {**best, "status": "undecided", "assignments": {}, "units": {}}
    return best
