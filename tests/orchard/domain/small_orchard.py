"""A small invented orchard to test with: two lawns, a path, a corridor, a few trees."""

from orchard.domain.place import (
    Area,
    AreaKind,
    Corridor,
    Hardness,
    Outline,
    Place,
    Pocket,
    ServiceKind,
    Tree,
)
from orchard.domain.plan import (
    AreaHardness,
    MaterialItem,
    Parameter,
    Plan,
    PlannedTask,
    PlannedTreatment,
    Store,
    TaskPlan,
    ToolItem,
)

TOOLS = (
    "barrow bucket caliper fork girth_tape gloves hand_auger hoe hose kneeler penetrometer rake "
    "spade tamper tape tarp trowel watering_can broadfork camera dust_mask ear_defenders "
    "powered_auger safety_glasses scale"
)


def rectangle(west: float, south: float, width: float, height: float) -> Outline:
    return (
        (west, south),
        (west + width, south),
        (west + width, south + height),
        (west, south + height),
    )


def build_tree(
    tag: str,
    at: tuple[float, float],
    canopy_m: float | None = 2.0,
    stems_mm: tuple[int, ...] = (),
    area: str = "A",
) -> Tree:
    return Tree(tag, "apple", "Depot Russet", at, canopy_m, stems_mm, 1.0, area)


def build_place(
    trees: tuple[Tree, ...] = (),
    corridors: tuple[Corridor, ...] = (),
    areas: tuple[Area, ...] = (),
) -> Place:
    """Return a site of 60 m × 40 m: lawn A to the west, lawn B east of 30 m."""
    lawns = (
        Area("A", "West lawn", AreaKind.LAWN, rectangle(0, 0, 30, 40)),
        Area("B", "East lawn", AreaKind.LAWN, rectangle(30, 0, 30, 40)),
    )
    return Place("Tram Depot Orchard", rectangle(0, 0, 60, 40), trees, lawns + areas, corridors)


def build_corridor(
    code: str = "E1", east: float = 45.0, width_m: float = 0.2, tolerance_m: float = 1.0
) -> Corridor:
    return Corridor(code, ServiceKind.ELECTRIC, ((east, 0.0), (east, 40.0)), width_m, tolerance_m)


def build_pocket(code: str = "P1", outline: Outline | None = None, area: str = "A") -> Pocket:
    return Pocket(code, "by the pump", outline or rectangle(10, 10, 5, 4), area)


def build_line(
    treatment: str,
    *,
    trees: tuple[str, ...] = (),
    pockets: tuple[str, ...] = (),
    key: str = "",
    priority: int = 3,
    **parameters: float,
) -> PlannedTreatment:
    numbers = tuple(Parameter(name, value) for name, value in parameters.items())
    return PlannedTreatment(key or treatment.lower(), treatment, trees, pockets, numbers, priority)


def build_plan(
    place: Place,
    *lines: PlannedTreatment,
    pockets: tuple[Pocket, ...] = (),
    hardness: Hardness = Hardness.FIRM,
) -> Plan:
    verdicts = tuple(AreaHardness(code, hardness, "Read in March.") for code in ("A", "B"))
    return Plan("plan-1", "First year", place, pockets, lines, verdicts)


def build_store(*, without: str = "") -> Store:
    """Return a store with every tool and material but one. Prices and densities are invented."""
    materials = (
        MaterialItem("compost", "Compost", 700, 4500, 40),
        MaterialItem("chips", "Wood chips", 300, 2000),
        MaterialItem("topsoil", "Topsoil", 1300, 5000),
        MaterialItem("water", "Water", 1000, 0),
        MaterialItem("biochar", "Biochar", 250, 60000, 50),
        MaterialItem("organic_fertiliser", "Organic fertiliser", 700, 200000, 25),
        MaterialItem("slow_release_fertiliser", "Slow-release fertiliser", 1000, 400000, 20),
        MaterialItem("inoculant", "Inoculant", 1000, 500000, 5),
        MaterialItem("worm_units", "Worm units", 1000, 300000),
    )
    return Store(
        tuple(ToolItem(code, code, 9, 8) for code in TOOLS.split() if code != without),
        tuple(item for item in materials if item.code != without),
    )


def by_key(tasks: TaskPlan) -> dict[str, PlannedTask]:
    return {task.key: task for task in tasks.tasks}
