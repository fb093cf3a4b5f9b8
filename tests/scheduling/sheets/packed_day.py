"""An invented session at an invented orchard, written out by hand for the sheets' tests."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from orchard.domain.boreholes import lay_out_holes
from orchard.domain.effort import Effort
from orchard.domain.geometry import tree_ring
from orchard.domain.place import Area, AreaKind, Corridor, Place, Pocket, ServiceKind, Tree
from orchard.domain.plan import (
    After,
    Caution,
    MaterialItem,
    MaterialNeed,
    PlannedTask,
    ToolItem,
    ToolNeed,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.published import (
    DayTask,
    EmergencyFacts,
    PublishedRoster,
    RosterPerson,
    RoundTimes,
    SessionFacts,
    SiteFacts,
)
from scheduling.domain.roster import Assignment, Roster, TaskUnits

ZONE = "Europe/London"
START = datetime(2027, 4, 17, 9, 30, tzinfo=ZoneInfo(ZONE))

ADULTS = (
    "Nguyễn T.",
    "Bożena Ż.",
    "Ἀλέξανδρος Π.",
    "Людмила Щ.",
    "Tom & <b>Jerry</b> K.",
    "Maud A.",
    "Oskar B.",
    "Ines C.",
    "Ruth D.",
    "Colm E.",
    "Priya F.",
    "Sven G.",
)
YOUNG = ("Ada", "Emil", "Wren")


def build_place() -> Place:
    trees = tuple(
        Tree(
            tag=f"T{number:02d}",
            species="Malus domestica",
            cultivar="Tramlight",
            position=(6.0 + 7.5 * ((number - 1) % 9), 8.0 + 9.0 * ((number - 1) // 9)),
            canopy_radius_m=1.6 + 0.2 * (number % 5),
            stem_diameters_mm=(90 + 10 * (number % 7),),
            area="E" if number <= 18 else "W",
        )
        for number in range(1, 37)
    )
    return Place(
        name="Turntable Orchard",
        outline=((0.0, 0.0), (72.0, 0.0), (72.0, 38.0), (60.0, 46.0), (0.0, 44.0)),
        trees=trees,
        areas=(
            Area("E", "East lawn", AreaKind.LAWN, ((1, 1), (71, 1), (71, 21.5), (1, 21.5))),
            Area("W", "West lawn", AreaKind.LAWN, ((1, 23.5), (71, 23.5), (58, 44), (1, 42))),
            Area("P", "Rail path", AreaKind.PATH, ((0, 21.5), (72, 21.5), (72, 23.5), (0, 23.5))),
            Area("N", "Pit slab", AreaKind.NO_DIG, ((60, 25), (68, 25), (68, 33), (60, 33))),
        ),
        corridors=(
            Corridor("S1", ServiceKind.ELECTRIC, ((0.0, 4.0), (30.0, 4.0), (72.0, 2.5)), 0.3, 0.6),
        ),
    )


POCKETS = (
    Pocket(
        "P1", "Between four trees", ((15.6, 10.4), (20.4, 10.4), (20.4, 14.6), (15.6, 14.6)), "E"
    ),
    Pocket("P2", "By the path", ((37.5, 10.5), (43.5, 10.5), (42.0, 15.0), (38.0, 14.0)), "E"),
)

TOOLS = (
    ToolItem("auger", "Hand auger, 100 mm", 2, 14, briefing="auger"),
    ToolItem("barrow", "Wheelbarrow", 4, 0),
    ToolItem("bucket", "Bucket, 10 litres", 8, 0),
    ToolItem("fork", "Digging fork", 1, 8),
    ToolItem("gloves", "Pair of gloves", 40, 0),
    ToolItem("rake", "Rake", 4, 8),
    ToolItem("tarp", "Tarpaulin", 3, 0),
)
MATERIALS = (
    MaterialItem("compost", "Green compost, screened", 620.0, 4200, 40.0),
    MaterialItem("chips", "Wood chips", 300.0, 1500),
)


def build_task(key: str, **changes: object) -> PlannedTask:
    fields: dict[str, object] = {
        "key": key,
        "treatment": "TOP",
        "planned": "line-1",
        "kind": "topdress",
        "title": "Spread compost 50 mm deep",
        "where": "East lawn, rings of trees T01, T02 and T10",
        "zone": "E",
        "trees": ("T01", "T02", "T10"),
        "pocket": "",
        "units": 24,
        "unit": "m²",
        "effort": Effort(2, 3, 5),
        "crew_least": 2,
        "crew_most": 5,
        "skills": (),
        "tools": (ToolNeed("barrow", 2), ToolNeed("rake", 2), ToolNeed("gloves", 5)),
        "materials": (MaterialNeed("compost", 1200.0, 30, 20, 5040),),
        "cost_cents": 5040,
        "minimum_age": 8,
        "heavy": True,
        "kneeling": False,
        "opens_ground": False,
        "windows": (),
        "after": (),
        "closes": "",
        "priority": 3,
        "value_per_unit": 9,
        "holes": (),
        "ground": (),
        "steps": (
            "Tip each barrow in three small heaps round the ring, none against the trunk.",
            "Spread with the back of the rake to the depth of two finger joints.",
            "Leave a hand's width of bare ground round the trunk.",
        ),
        "cautions": (
            Caution("lift", "Two to a full barrow on the slope; half loads for anyone under 16."),
            Caution("dust", "Damp the heap first; keep your face out of the steam."),
        ),
    }
    return PlannedTask(**{**fields, **changes})  # type: ignore[arg-type]


def build_core_task(place: Place, pocket: Pocket, key: str = "core-P1") -> PlannedTask:
    holes = lay_out_holes(pocket, place, spacing_m=0.75, diameter_m=0.1).holes
    return build_task(
        key,
        treatment="COR",
        kind="core",
        title=f"Bore holes 1 to {len(holes)} of pocket {pocket.code}",
        where=f"East lawn, pocket {pocket.code} ({pocket.name}), holes 1 to {len(holes)}",
        trees=(),
        pocket=pocket.code,
        units=len(holes),
        unit="hole",
        tools=(
            ToolNeed("auger", 2),
            ToolNeed("barrow", 1),
            ToolNeed("bucket", 2),
            ToolNeed("gloves", 4),
            ToolNeed("tarp", 1),
        ),
        materials=(),
        minimum_age=16,
        opens_ground=True,
        holes=holes,
        ground=(pocket.outline,),
        steps=(
            "Check the locate, rake mulch aside and set out the holes from the two pegs.",
            "Bore each hole 100 mm wide and 450 mm deep, upright, a third of the depth at a time.",
            "Lift out the core and lay it on the tarp; roughen a shiny wall with a stick.",
            "Stop at any root thicker than 25 mm, brick, pipe or cable: leave the hole, write its "
            "number down, tell the lead.",
            "Put a flag in each hole as it is opened.",
            "Bring the spoil to the heap: about 3 barrow loads in all.",
            "Hand every open hole over to be filled before the session ends.",
        ),
        cautions=(
            Caution(
                "services",
                "No boring without a locate in date; no marks does not mean no lines. Stop and "
                "step back if anything looks like a pipe or a cable.",
            ),
            Caution("stop", "No boring in frozen, dripping wet or bone-dry ground."),
            Caution("stop", "Stop at roots over 25 mm; skip the hole and log it."),
            Caution("hands", "Gloves on; keep loose sleeves and laces off the auger."),
            Caution("lift", "Change over every few holes; let the weight go, do not wrench."),
            Caution("feet", "Open holes trip people: flag at once, fill the same session."),
            Caution("dust", "Damp dry fill. Unknown fill may be tainted: wash before eating."),
        ),
    )


def build_fill_task(core: PlannedTask) -> PlannedTask:
    return build_task(
        core.key.replace("core", "fill"),
        treatment="COR",
        kind="backfill",
        title=core.title.replace("Bore", "Fill"),
        where=core.where,
        trees=(),
        pocket=core.pocket,
        units=core.units,
        unit="hole",
        tools=(ToolNeed("bucket", 4), ToolNeed("gloves", 4), ToolNeed("tarp", 1)),
        materials=(MaterialNeed("compost", 96.0, 3, 2, 420),),
        heavy=False,
        kneeling=True,
        after=(After(core.key, True),),
        closes=core.key,
        holes=core.holes,
        ground=core.ground,
        steps=(
            "Mix on the tarp, by volume: 60 % spoil, 40 % compost.",
            "Fill each hole in three layers and firm each lightly; do not ram.",
            "Take out the flag and tick the hole's number only when it is full.",
        ),
        cautions=(Caution("feet", "Walk round open holes, never between them backwards."),),
    )


def build_tasks(place: Place) -> tuple[DayTask, ...]:
    core = build_core_task(place, POCKETS[0])
    tags = ("T01", "T02", "T10")
    rings = tuple(outline for tag in tags for outline in tree_ring(place, tag, 0.15))
    tasks = (
        core,
        build_fill_task(core),
        build_task("top-1", ground=rings),
        build_task(
            "weed-1",
            kind="weed",
            title="Weed the ring of tree T20",
            where="West lawn, ring of tree T20",
            zone="W",
            trees=("T20",),
            ground=tree_ring(place, "T20", 0.15),
            units=9,
            materials=(),
            tools=(ToolNeed("fork", 2), ToolNeed("bucket", 2)),
            steps=("Fork out couch and dock with their roots.", "Shake the soil back."),
            cautions=(Caution("hands", "Gloves on: glass lies near the surface here."),),
        ),
    )
    return tuple(
        DayTask(TaskId(number), 12 if task.key == "top-1" else task.units, task)
        for number, task in enumerate(tasks, 101)
    )


def build_people() -> tuple[RosterPerson, ...]:
    roles: dict[str, tuple[str, ...]] = {
        "Maud A.": ("session lead", "supervising adult"),
        "Oskar B.": ("crew lead", "supervising adult"),
        "Ines C.": ("crew lead",),
        "Ruth D.": ("first aider",),
        "Bożena Ż.": ("crew lead",),
        "Людмила Щ.": ("crew lead",),
    }
    people = [
        RosterPerson(PersonId(number), name, False, roles.get(name, ()))
        for number, name in enumerate(ADULTS, 1)
    ]
    people += [
        RosterPerson(PersonId(number), name, True, (), guardian_name="Maud A.")
        for number, name in enumerate(YOUNG, 31)
    ]
    people += [
        RosterPerson(PersonId(number), f"Pupil {number - 50}", True, (), group_name="Class 7b")
        for number in range(51, 75)
    ]
    people.append(
        RosterPerson(PersonId(80), "Hanna O.", False, ("class staff",), group_name="Class 7b")
    )
    return tuple(people)


def build_session(rounds: int = 4) -> SessionFacts:
    times = tuple(
        RoundTimes(
            number + 1,
            START + timedelta(minutes=45 * number),
            START + timedelta(minutes=45 * number + 35),
        )
        for number in range(rounds)
    )
    return SessionFacts(
        code="2027-04-17",
        title="Spring session 3",
        starts_at=START,
        ends_at=START + timedelta(minutes=45 * rounds + 30),
        rounds=times,
        meeting_point="the tool shed by the north gate",
        bring="Stout shoes, long trousers, rain coat, a drink",
        purpose="Bore and fill pocket P1, feed the first rings, and weed where roots need air.",
    )


def build_roster_of(tasks: tuple[DayTask, ...], people: tuple[RosterPerson, ...]) -> Roster:
    """Give each task a crew of adults; pupils weed; young people spread compost."""
    core, fill, top, weed = (task.id for task in tasks)
    crews = {
        (core, 0): (7, 1, 2), (core, 1): (7, 1, 2),
        (fill, 1): (8, 4, 5), (fill, 2): (8, 4, 5), (fill, 3): (7, 1, 2),
        (top, 0): (2 + 2, 6, 31, 32, 33), (top, 2): (2, 6, 31, 32, 33),
        (weed, 0): (80, 11, *range(51, 63)), (weed, 2): (80, 12, *range(63, 75)),
    }  # fmt: skip
    assignments = sorted(
        (person, round_, task) for (task, round_), crew in crews.items() for person in crew
    )
    known = {person.id for person in people}
    holes = tasks[0].units_planned
    units = [
        TaskUnits(core, 0, holes // 2),
        TaskUnits(core, 1, holes - holes // 2),
        TaskUnits(fill, 1, 6),
        TaskUnits(fill, 2, 12),
        TaskUnits(fill, 3, holes - 18),
        TaskUnits(top, 0, 6),
        TaskUnits(top, 2, 6),
        TaskUnits(weed, 0, 5),
        TaskUnits(weed, 2, 4),
    ]
    return Roster(
        tuple(
            Assignment(PersonId(person), round_, task)
            for person, round_, task in assignments
            if person in known
        ),
        tuple(units),
    )


SITE = SiteFacts(
    code="turntable",
    name="Turntable Orchard",
    town="Lower Marl",
    organiser_name="Friends of the Turntable",
    organiser_email="orchard@lowermarl.example",
    time_zone=ZONE,
    emergency=EmergencyFacts(
        entrance="North gate, Depot Lane",
        latitude=52.123456,
        longitude=-1.2345,
        number="112",
        nearest_emergency_department="Marl General, Hill Road, 4 km",
        muster_point="the water tower",
        shelter="the old signal box",
    ),
)


def build_published() -> PublishedRoster:
    place = build_place()
    tasks, people = build_tasks(place), build_people()
    return PublishedRoster(
        site=SITE,
        session=build_session(),
        place=place,
        pockets=POCKETS,
        people=people,
        tasks=tasks,
        tools=TOOLS,
        materials=MATERIALS,
        roster=build_roster_of(tasks, people),
        version=3,
        published_at=datetime(2027, 4, 12, 17, 4, tzinfo=UTC),
    )
