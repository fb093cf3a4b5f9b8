"""The kit list: tools by the most used at once, materials by what the day's work takes.

Not for stock: what is in the store or ordered is not known to a roster.
"""

import math

from orchard.domain.plan import MaterialNeed
from orchard.domain.unit_words import say_both, turn_number, turn_unit
from orchard.domain.units import format_bag
from scheduling.domain.published import DayTask, PublishedRoster
from scheduling.domain.wording import plural
from scheduling.sheets.day import Day
from scheduling.sheets.parts import KitList, MaterialLine, ToolLine
from scheduling.sheets.words import volume_words

# Common practice, no source.
ALWAYS = (
    "First-aid kit, and the first aider knows where it stands",
    "Drinking water and cups; sun cream or dry gloves, as the weather asks",
    "A charged telephone, and a pencil for every crew",
    "This pack, and the locate papers when ground is opened",
)


def day_share(day_task: DayTask, need: MaterialNeed) -> MaterialNeed:
    """Return what today's units take of a need stated for the whole task.

    Litres in proportion; bags and barrow loads are rounded up, never beyond the
    whole task's; cost in proportion, rounded up to the cent.
    """
    whole, today = day_task.task.units, day_task.units_planned
    if whole <= 0 or today >= whole:
        return need
    return MaterialNeed(
        material=need.material,
        litres=need.litres * today / whole,
        bags=-(-need.bags * today // whole),
        barrow_loads=-(-need.barrow_loads * today // whole),
        cost_cents=-(-need.cost_cents * today // whole),
    )


def material_names(roster: PublishedRoster) -> dict[str, str]:
    """Return material names by code, grain sizes in both systems."""
    return {material.code: say_both(material.name, roster.system) for material in roster.materials}


def tool_names(roster: PublishedRoster) -> dict[str, str]:
    """Return tool names by code, nominal sizes in both systems, as tools are sold."""
    return {tool.code: say_both(tool.name, roster.system) for tool in roster.tools}


def build_kit_list(day: Day) -> KitList:
    """Return the day's kit list, tools and materials by name."""
    return KitList(tools=_tool_lines(day), materials=_material_lines(day), always=ALWAYS)


def _most_at_once(day: Day) -> dict[str, int]:
    most: dict[str, int] = {}
    for number in range(day.round_count):
        used: dict[str, int] = {}
        for named in day.tasks:
            if (named.day_task.id, number) in day.crews:
                for need in named.day_task.task.tools:
                    used[need.tool] = used.get(need.tool, 0) + need.count
        for tool, count in used.items():
            most[tool] = max(most.get(tool, 0), count)
    return most


def _tool_lines(day: Day) -> tuple[ToolLine, ...]:
    tools = {tool.code: tool for tool in day.roster.tools}
    names = tool_names(day.roster)
    lines = []
    for code, needed in _most_at_once(day).items():
        tool = tools.get(code)
        on_hand = tool.on_hand if tool else 0
        notes = []
        if needed > on_hand:
            notes.append(f"{needed - on_hand} short: borrow")
        if tool and tool.minimum_age:
            notes.append(f"from age {tool.minimum_age}")
        if tool and tool.briefing:
            notes.append("after its briefing")
        lines.append(ToolLine(names.get(code, code), needed, on_hand, "; ".join(notes)))
    return tuple(sorted(lines, key=lambda line: line.name))


def _material_lines(day: Day) -> tuple[MaterialLine, ...]:
    totals: dict[str, MaterialNeed] = {}
    for named in day.tasks:
        for whole in named.day_task.task.materials:
            need = day_share(named.day_task, whole)
            sofar = totals.get(need.material, MaterialNeed(need.material, 0.0, 0, 0, 0))
            totals[need.material] = MaterialNeed(
                need.material,
                sofar.litres + need.litres,
                sofar.bags + need.bags,
                sofar.barrow_loads + need.barrow_loads,
                sofar.cost_cents + need.cost_cents,
            )
    items = {item.code: item for item in day.roster.materials}
    lines = []
    system, names = day.roster.system, material_names(day.roster)
    for code, total in totals.items():
        item = items.get(code)
        bags, weight = "", ""
        if item:
            mass = turn_number(total.litres / 1000 * item.kg_per_m3, "kg", system)
            weight = f"{math.ceil(mass)} {turn_unit('kg', system)}"
            bags = "loose"
            if item.bag_litres > 0:
                # Counted over the whole day: part bags of two tasks share one bag.
                count = math.ceil(round(total.litres / item.bag_litres, 6))
                bags = f"{count} of {format_bag(item.bag_litres / 1000, system)}"
        barrows = plural(total.barrow_loads, "barrow")
        name = names.get(code, code)
        loose = volume_words(total.litres, system)
        lines.append(MaterialLine(name, loose, bags, barrows, weight))
    return tuple(sorted(lines, key=lambda line: line.name))
