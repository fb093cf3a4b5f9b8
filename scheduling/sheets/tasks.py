"""One task sheet's words: how much, in what order, with what, by whom, when to stop.

Not for layout. `content` gathers these into the day pack.
"""

from collections.abc import Iterable

from orchard.domain.drawing import build_task_drawing
from orchard.domain.drawing_units import draw_in
from orchard.domain.ordering import natural_key
from orchard.domain.plan import MaterialNeed
from orchard.domain.units import System
from scheduling.domain.wording import listed, plural
from scheduling.sheets.day import Day, NamedTask
from scheduling.sheets.kit import day_share, material_names, tool_names
from scheduling.sheets.parts import CautionLine, CrewRound, Sign, TaskSheet
from scheduling.sheets.words import count_words, crew_words, time_words, volume_words

MOST_STEPS = 7

# Common practice, no source. Local codes and the one-call centre's instructions go first.
STOP_ALWAYS = "someone is hurt or faint, or thunder is heard"
STOP_OPENS = (
    "the auger meets cable, pipe, marker tape or mesh, or gas is smelt: hands off, leave the "
    "tool standing, move away"
)
STOP_TOOL = "a tool is broken or missing"

STOP_UNITS = "the ground is not as on this sheet"


def build_task_sheet(day: Day, named: NamedTask) -> TaskSheet:
    """Return one task's sheet.

    Raises:
        GroundError: If the task has nothing to draw.
    """
    task = named.day_task.task
    return TaskSheet(
        letter=named.letter,
        title=task.title,
        where=task.where,
        amounts=_amounts(day, named),
        order=_order(day, named),
        tools=_tools(day, named),
        materials=_materials(day, named),
        crews=_crews(day, named),
        steps=task.steps[:MOST_STEPS],
        cautions=merge_cautions(CautionLine(c.sign, c.text) for c in task.cautions),
        stop_when=_stop_when(named),
        unit=count_words(2, task.unit, day.roster.system).partition(" ")[2],
        records_refused_holes=task.opens_ground,
        drawing=draw_in(
            build_task_drawing(day.roster.place, day.roster.pockets, task), day.roster.system
        ),
    )


def merge_cautions(cautions: Iterable[CautionLine]) -> tuple[CautionLine, ...]:
    """Return one line for each sign, in order of first appearance, all texts kept."""
    texts: dict[Sign, list[str]] = {}
    for caution in cautions:
        lines = texts.setdefault(caution.sign, [])
        if caution.text not in lines:
            lines.append(caution.text)
    return tuple(CautionLine(sign, " ".join(lines)) for sign, lines in texts.items())


def amount_words(day: Day, named: NamedTask) -> str:
    """Return today's units in words: “12 holes”."""
    task = named.day_task
    return count_words(task.units_planned, task.task.unit, day.roster.system)


def rounds_words(day: Day, named: NamedTask) -> str:
    """Return the rounds in which the task has a crew, counted from 1."""
    rounds = [str(number + 1) for number in day.rounds_of(named.day_task.id)]
    if not rounds:
        return "no crew"
    if len(rounds) == 1:
        return f"round {rounds[0]}"
    numbers = day.rounds_of(named.day_task.id)
    if len(rounds) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"rounds {rounds[0]} to {rounds[-1]}"
    return f"rounds {listed(rounds)}"


def _amounts(day: Day, named: NamedTask) -> tuple[str, ...]:
    task, today = named.day_task.task, named.day_task.units_planned
    whole = count_words(task.units, task.unit, day.roster.system)
    numbers = sorted(hole.number for hole in task.holes)
    span = f", numbers {numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else ""
    done = task.units - len(numbers) if numbers else 0
    if done > 0:
        # Holes recorded on earlier days are left out of the task that is printed.
        rest = "" if today >= len(numbers) else "; the rest on another day"
        lines = [
            f"{amount_words(day, named)} today",
            f"of {whole} in all, {done} done; open{span}{rest}",
        ]
    elif today < task.units:
        whole_words = f"of {whole} in all{span}"
        lines = [f"{amount_words(day, named)} today", f"{whole_words}; the rest on another day"]
    else:
        lines = [f"{amount_words(day, named)} today{span}"]
    if task.trees:
        tags = sorted(task.trees, key=natural_key)
        lines.append(f"{'Tree' if len(tags) == 1 else 'Trees'} {listed(tags)}")
    names = material_names(day.roster)
    for material in task.materials:
        need = day_share(named.day_task, material)
        if need.barrow_loads:
            name = names.get(need.material, need.material)
            lines.append(f"{plural(need.barrow_loads, 'barrow')} of {name}")
    return tuple(lines)


def _order(day: Day, named: NamedTask) -> tuple[str, ...]:
    task = named.day_task.task
    lines = []
    closed = day.find_by_key(task.closes) if task.closes else None
    if closed:
        lines.append(
            f"Fills the holes of task {closed.letter}: fill only what was bored in an earlier "
            "round, and leave none open"
        )
    for after in task.after:
        other = day.find_by_key(after.key)
        if other and after.key != task.closes:
            lines.append(f"Start when task {other.letter} ({other.day_task.task.title}) is done")
    filling = [other.letter for other in day.tasks if other.day_task.task.closes == task.key]
    if filling:
        lines.append(f"Task {listed(filling)} fills these holes today; count them over to it")
    return tuple(lines) or ("Start at once; nothing has to come first",)


def _tools(day: Day, named: NamedTask) -> tuple[str, ...]:
    names = tool_names(day.roster)
    needs = named.day_task.task.tools
    return tuple(f"{need.count} × {names.get(need.tool, need.tool)}" for need in needs)


def _materials(day: Day, named: NamedTask) -> tuple[str, ...]:
    names = material_names(day.roster)
    lines = []
    for whole in named.day_task.task.materials:
        need = day_share(named.day_task, whole)
        name = names.get(need.material, need.material)
        lines.append(f"{name}: {_load_words(need, day.roster.system)}")
    return tuple(lines)


def _load_words(need: MaterialNeed, system: System) -> str:
    loads = []
    if need.barrow_loads:
        loads.append(plural(need.barrow_loads, "barrow"))
    if need.bags:
        loads.append(plural(need.bags, "bag"))
    loads.append(volume_words(need.litres, system))
    return ", ".join(loads)


def _crews(day: Day, named: NamedTask) -> tuple[CrewRound, ...]:
    """Return the crews by round; rounds in a row with the same crew share a line."""
    task_id, unit = named.day_task.id, named.day_task.task.unit
    runs: list[tuple[tuple[str, ...], list[int]]] = []
    for number in day.rounds_of(task_id):
        people = crew_words(day.crews[(task_id, number)])
        if runs and runs[-1][0] == people and runs[-1][1][-1] == number - 1:
            runs[-1][1].append(number)
        else:
            runs.append((people, [number]))
    lines = []
    for people, numbers in runs:
        units = [day.units.get((task_id, number), 0) for number in numbers]
        lines.append(
            CrewRound(
                _run_words(day, numbers), people, _units_words(units, unit, day.roster.system)
            )
        )
    return tuple(lines)


def _run_words(day: Day, numbers: list[int]) -> str:
    first, last = (day.roster.session.rounds[number] for number in (numbers[0], numbers[-1]))
    rounds = f"{first.number}" if first is last else f"{first.number} to {last.number}"
    return f"{rounds}, {time_words(first.starts_at)}"


def _units_words(units: list[int], unit: str, system: System) -> str:
    """Return “12 holes”, or “12, 12, 8 holes” for a run of rounds."""
    words = [count_words(count, unit, system) for count in units]
    return "".join(f"{word.split(' ')[0]}, " for word in words[:-1]) + words[-1]


def _stop_when(named: NamedTask) -> tuple[str, ...]:
    lines = [STOP_OPENS] if named.day_task.task.opens_ground else []
    return (*lines, STOP_ALWAYS, STOP_TOOL, STOP_UNITS)
