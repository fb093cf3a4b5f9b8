"""The plan's and the rates' files, read and checked against the ground and the stores.

Part of `ground_files`. Every line is tried on a square lawn with one tree and
one pocket, so that a number out of range or a tool the store lacks is found
before anything is written, whatever state the real ground is in.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from orchard.domain.effort import Effort
from orchard.domain.errors import PlannerError
from orchard.domain.place import Area, AreaKind, Place, Pocket, Tree
from orchard.domain.plan import Parameter, Plan, PlannedTask, PlannedTreatment, Store
from orchard.domain.rates import Rate, RateTable, build_default_rates
from orchard.domain.treatment import BreakdownContext, Target
from orchard.domain.treatments import TREATMENTS, get_treatment
from orchard.services.import_files import Entry, FileReader, list_known, note_repeats

LINE_KEYS = ("key", "treatment", "priority", "trees", "areas", "pockets", "parameters")
RATE_COLUMNS = ("activity", "unit", "low_min", "likely_min", "high_min", "basis")
ALL = "all"

_TRIAL_SIDE_M = 8.0
_TRIAL_PERSON_MIN = 1e9


@dataclass(frozen=True, slots=True)
class PlanFile:
    """A plan as written, and the skills that its treatments ask for."""

    code: str
    title: str
    budget_cents: int
    lines: tuple[PlannedTreatment, ...]
    skills: frozenset[str]


def read_plan(
    reader: FileReader,
    place: Place,
    pockets: tuple[Pocket, ...],
    store: Store,
    rates: RateTable,
) -> PlanFile:
    """Return what plan.toml says; problems go to the reader's list."""
    file = reader.read_toml("plan.toml", ("code", "title", "budget_cents", "line"))
    rows = reader.read_tables("plan.toml", file, "line", LINE_KEYS, "key")
    lines = tuple(_read_line(row, place, pockets) for row in rows)
    note_repeats(zip(rows, [line.key for line in lines], strict=True), "line")
    tried = [
        task
        for row, line in zip(rows, lines, strict=True)
        for task in _try_line(row, line, store, rates)
    ]
    return PlanFile(
        code=file.code("code", most=20),
        title=file.text("title", most=120),
        budget_cents=file.whole("budget_cents", least=0, most=100_000_000, unit="cents"),
        lines=lines,
        skills=frozenset(need.skill for task in tried for need in task.skills),
    )


def read_rates(reader: FileReader, rates_from: date) -> RateTable:
    """Return the site's own rates if there is a file, else those a site starts from."""
    if not reader.has("rates.csv"):
        return build_default_rates(rates_from)
    rates: list[Rate] = []
    rows = reader.read_csv("rates.csv", RATE_COLUMNS)
    for row in rows:
        low, likely, high = (
            row.number(name, least=0, most=100_000, unit="min")
            for name in ("low_min", "likely_min", "high_min")
        )
        if not low <= likely <= high:
            row.note(f"{low:g}, {likely:g}, {high:g} minutes do not rise. Put them in order.")
            low = likely = high
        rates.append(
            Rate(
                activity=row.text("activity", most=40),
                unit=row.text("unit", most=20),
                effort=Effort(low, likely, high),
                basis=row.text("basis"),
            )
        )
    note_repeats(zip(rows, [rate.activity for rate in rates], strict=True), "rate")
    return RateTable(rates_from, tuple(rates))


def _read_line(row: Entry, place: Place, pockets: tuple[Pocket, ...]) -> PlannedTreatment:
    tags = [tree.tag for tree in place.trees]
    trees = _read_ground(row, "trees", tags, "tree")
    for area in row.choices("areas", [area.code for area in place.areas], "area"):
        trees += tuple(t.tag for t in place.trees if t.area == area and t.tag not in trees)
    return PlannedTreatment(
        key=row.code("key", most=40),
        treatment=row.choice("treatment", [t.code for t in TREATMENTS], "treatment"),
        trees=trees,
        pockets=_read_ground(row, "pockets", [pocket.code for pocket in pockets], "pocket"),
        parameters=_read_parameters(row),
        priority=row.whole("priority", least=1, most=5, default=3),
    )


def _read_ground(row: Entry, key: str, known: Sequence[str], what: str) -> tuple[str, ...]:
    if row.raw(key) == ALL:
        return tuple(known)
    return row.choices(key, known, what)


def _read_parameters(row: Entry) -> tuple[Parameter, ...]:
    names = row.table("parameters")
    values = Entry(row.where, names, row.problems, typed=True)
    return tuple(
        Parameter(name, values.number(name, least=-1e9, most=1e9)) for name in sorted(names)
    )


def _try_line(
    row: Entry, line: PlannedTreatment, store: Store, rates: RateTable
) -> tuple[PlannedTask, ...]:
    """Note what the treatment refuses on good ground: numbers, tools, materials, rates."""
    if line.treatment not in [treatment.code for treatment in TREATMENTS]:
        return ()
    treatment = get_treatment(line.treatment)
    for_trees = treatment.target is Target.TREES
    wanted, wrong = (line.trees, line.pockets) if for_trees else (line.pockets, line.trees)
    if wrong:
        row.note(
            f"{treatment.name} is for {treatment.target.value}, but the line names "
            f"{', '.join(wrong)}. Move them to a line of a treatment that fits."
        )
    if not wanted:
        row.note(f"names no {treatment.target.value}. Name them, or take the line out.")
    trial = PlannedTreatment(
        key=line.key or "trial",
        treatment=line.treatment,
        trees=("T",) if for_trees else (),
        pockets=() if for_trees else ("P",),
        parameters=line.parameters,
        priority=line.priority,
    )
    listed = [tool.code for tool in store.tools]
    try:
        tasks = treatment.build_tasks(trial, _trial_context(trial, store, rates))
    except PlannerError as fault:
        row.note(fault.message)
        return ()
    for tool in sorted({need.tool for task in tasks for need in task.tools} - set(listed)):
        row.note(
            f"{treatment.name} needs the unknown tool “{tool}”. List it in stores.toml with the "
            f"number on hand. {list_known(listed)}"
        )
    return tasks


def _trial_context(line: PlannedTreatment, store: Store, rates: RateTable) -> BreakdownContext:
    side = _TRIAL_SIDE_M
    square = ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))
    corner = ((5.0, 5.0), (7.0, 5.0), (7.0, 7.0), (5.0, 7.0))
    tree = Tree("T", "tree", "", (2.0, 2.0), 1.5, (80,), 1.0, "A")
    place = Place("trial", square, (tree,), (Area("A", "trial", AreaKind.LAWN, square),), ())
    plan = Plan("trial", "trial", place, (Pocket("P", "trial", corner, "A"),), (line,), ())
    return BreakdownContext(plan, rates, store, _TRIAL_PERSON_MIN)
