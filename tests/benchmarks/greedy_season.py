"""A season's plan as a careful person makes it by hand: session by session, never going back.

In each session the work that matters most for its minutes comes first, what is begun before
what is not, what is due soon before what can wait; a hole and its filling go together; work
is begun only where a good part of it fits. It breaks no rule and is what the engine must
never be worse than. Not a part of the engine. Front door: `make_season_by_hand`.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from tests.benchmarks.plain_season import holders_of, minutes_of
from tests.benchmarks.season_words import judge_season, value_of

Document = dict[str, Any]
PASSES = 3  # over the open work of one session
PARTS = (Fraction(0), Fraction(1, 2), Fraction(1))  # of what is left that must fit to begin it


@dataclass(slots=True)
class _Room:
    """What is left of one session."""

    minutes: list[tuple[frozenset[int], int]]
    crew_min: Fraction
    by_place: dict[str, Fraction]
    by_tool: dict[str, Fraction]
    usable_min: int


@dataclass(slots=True)
class _ByHand:
    """A plan being made."""

    problem: Document
    least_part: Fraction
    items: dict[str, Document] = field(init=False)
    filled_by: dict[str, Document] = field(init=False)
    done: dict[str, list[int]] = field(init=False)
    stock: dict[str, int] = field(default_factory=dict)
    holders: dict[tuple[str | None, int], frozenset[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.items = {item["id"]: item for item in self.problem["items"]}
        self.filled_by = {i["closes"]: i for i in self.items.values() if i["closes"] is not None}
        self.done = {name: [0] * len(self.problem["sessions"]) for name in self.items}

    def run(self) -> None:
        """Fill every session in turn."""
        for number, session in enumerate(self.problem["sessions"]):
            for stock in self.problem["materials"]:
                arrived = sum(much for at, much in stock["deliveries"] if at == number)
                self.stock[stock["id"]] = self.stock.get(stock["id"], 0) + arrived
            usable = session["usable_minutes"]
            room = _Room(
                [(frozenset(classes), minutes) for classes, minutes in session["capacity"]],
                Fraction(session["most_crews"] * usable),
                {},
                {tool: Fraction(count * usable) for tool, count in session["tools"].items()},
                usable,
            )
            # Again and again: what follows in the same session is open once the first is done.
            for _ in range(PASSES):
                for together in sorted(self._open(number), key=lambda w: self._order(w, number)):
                    self._put(together, number, room)

    def _open(self, number: int) -> list[list[Document]]:
        """Return the work that may be done in a session, a hole with its filling as one."""
        found = []
        people = self.problem["sessions"][number]["people_expected"]
        for item in self.items.values():
            if item["closes"] is not None:
                continue
            together = [item]
            while together[-1]["id"] in self.filled_by:
                together.append(self.filled_by[together[-1]["id"]])
            if all(
                one["window"][0] <= number <= one["window"][1]
                and people >= one["crew"]["min"]
                and sum(self.done[one["id"]]) < one["units"]
                and self._may_begin(one, number)
                for one in together
            ):
                found.append(together)
        return found

    def _may_begin(self, item: Document, number: int) -> bool:
        return all(
            sum(self.done[name][: number + 1 if same else number]) >= self.items[name]["units"]
            for name, same in item["after"]
        )

    def _order(self, together: list[Document], number: int) -> tuple[Any, ...]:
        begun = any(any(self.done[item["id"]]) for item in together)
        value = Fraction(
            sum(item["value_per_unit"] for item in together), sum(map(minutes_of, together))
        )
        ends = min(
            item["window"][1] if item["finish_by"] is None else item["finish_by"]
            for item in together
        )
        return (not begun, -value, ends - number, together[0]["id"])

    def _put(self, together: list[Document], number: int, room: _Room) -> None:
        """Put as many units as fit, or none where too small a part of the work would."""
        left = min(item["units"] - sum(self.done[item["id"]]) for item in together)
        low, high = 0, left
        while low < high:
            middle = (low + high + 1) // 2
            if self._fits(together, middle, room):
                low = middle
            else:
                high = middle - 1
        is_new = not any(self.done[together[0]["id"]])
        is_last = number == together[0]["window"][1]
        if low == 0 or (low < left * self.least_part and is_new and not is_last):
            return
        self._take(together, low, room)
        for item in together:
            self.done[item["id"]][number] += low

    def _holders(self, demand: Document) -> frozenset[int]:
        key = (demand["skill"], demand["least_band"])
        if key not in self.holders:
            self.holders[key] = holders_of(self.problem, demand)
        return self.holders[key]

    def _fits(self, together: list[Document], units: int, room: _Room) -> bool:
        demands = [demand for item in together for demand in item["demands"]]
        for classes, minutes in room.minutes:
            only = [d["minutes_per_unit"] for d in demands if self._holders(d) <= classes]
            if units * sum(only) > minutes:
                return False
        crew = {i["id"]: Fraction(units * minutes_of(i), i["crew"]["max"]) for i in together}
        if sum(crew.values()) > room.crew_min:
            return False
        for place in sorted({item["place"] for item in together}):
            there = sum(crew[item["id"]] for item in together if item["place"] == place)
            if there > room.by_place.get(place, room.usable_min):
                return False
        for tool in sorted({tool for item in together for tool in item["tools"]}):
            used = sum(item["tools"].get(tool, 0) * crew[item["id"]] for item in together)
            if used > room.by_tool.get(tool, 0):
                return False
        needed: dict[str, int] = {}
        for item in together:
            for name, much in item["materials"].items():
                needed[name] = needed.get(name, 0) + much * units
        return all(much <= self.stock.get(name, 0) for name, much in needed.items())

    def _take(self, together: list[Document], units: int, room: _Room) -> None:
        demands = [demand for item in together for demand in item["demands"]]
        after = []
        for classes, minutes in room.minutes:
            only = [d["minutes_per_unit"] for d in demands if self._holders(d) <= classes]
            after.append((classes, minutes - units * sum(only)))
        room.minutes = after
        for item in together:
            crew = Fraction(units * minutes_of(item), item["crew"]["max"])
            room.crew_min -= crew
            place = item["place"]
            room.by_place[place] = room.by_place.get(place, Fraction(room.usable_min)) - crew
            for tool, count in item["tools"].items():
                room.by_tool[tool] -= count * crew
            for name, much in item["materials"].items():
                self.stock[name] -= much * units


def make_season_by_hand(problem: Document) -> Document:
    """Return the best of a few plans made by hand, by how much must fit to begin something."""
    made = []
    for part in PARTS:
        by_hand = _ByHand(problem, part)
        by_hand.run()
        done = {name: tuple(units) for name, units in by_hand.done.items()}
        made.append((value_of(problem, done), done))
    value, done = max(made, key=lambda one: one[0])
    faults = list(judge_season(problem, done))
    if faults:
        raise AssertionError(f"A plan made by hand breaks rules: {faults[0]}")
    names = [session["id"] for session in problem["sessions"]]
    return {
        "format": "season-plan/1",
        "problem": problem["name"],
        "status": "good",
        "units": {
            item: {name: n for name, n in zip(names, units, strict=True) if n}
            for item, units in done.items()
            if any(units)
        },
        "objective": value,
    }
