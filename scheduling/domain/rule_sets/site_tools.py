"""The matrix of tools by age that the site's own set holds: proposed, to be reviewed.

Common practice built from published youth tool tables; one line for each kind
of tool, with the codes of the demo store's tools and of the treatments' tasks.
"""

from datetime import date

from scheduling.domain.rule_set import FigureSource, ToolAges, ToolCell, ToolRow, Watch

N, C, S, OK = Watch.NOT_ALLOWED, Watch.CONSTANT, Watch.IN_SIGHT, Watch.OPEN
AGES = (0, 8, 12, 14, 16, 18)  # the youngest age of each column, completed years

SOURCE = (
    "Proposed; common practice built from Scouting America, Age Guidelines for Tool Use "
    "(680-028), Michigan State University Extension, Garden safety for kids, and NCCRAHS "
    "(Marshfield Clinic), Safety Guidelines for Youth Working in Gardens, 2015"
)
POWERED_SOURCE = (
    "York Region and Durham District School Boards, ineligible community involvement "
    "activities (power tools, any student age); archived US federal listing of hazardous "
    "non-farm jobs (18)"
)
CHECKED_ON = date(2026, 11, 25)


def _cells(*watches: Watch, told: tuple[int, ...] = ()) -> tuple[ToolCell, ...]:
    """Return one cell for each column; `told` are the ages from which a briefing is needed."""
    return tuple(
        ToolCell(age, watch, briefing=age in told) for age, watch in zip(AGES, watches, strict=True)
    )


GROWN_TOLD = _cells(N, N, N, N, N, OK, told=(18,))

ROWS = (
    ToolRow(
        "survey", "survey, counting, labels",
        tools=("tape", "girth_tape"), kinds=("measure", "survey"),
        cells=_cells(C, S, S, S, S, OK),
    ),
    ToolRow(
        "hand_weeding", "hand weeding, trowel",
        tools=("trowel",), kinds=("weed",),
        cells=(
            ToolCell(0, C, note="no edged tool"),
            *_cells(C, C, S, S, S, OK)[1:],
        ),
    ),
    ToolRow(
        "spade_fork", "spade, fork or hoe, sized to the user",
        tools=("spade", "fork", "hoe"), kinds=(),
        cells=_cells(N, C, S, S, S, OK),
    ),
    ToolRow(
        "rake_bucket", "raking, spreading by hand, buckets",
        tools=("rake", "bucket", "tamper"), kinds=("topdress", "mulch", "backfill"),
        cells=_cells(C, C, S, S, S, OK),
    ),
    ToolRow(
        "secateurs", "secateurs, small clipper",
        tools=("secateurs",), kinds=(),
        cells=_cells(N, N, C, S, S, OK),
    ),
    ToolRow(
        "loppers_saw", "loppers, pruning saw",
        tools=("loppers", "pruning_saw"), kinds=(),
        cells=_cells(N, N, C, C, S, OK, told=(14, 16, 18)),
    ),
    ToolRow(
        "mattock", "mattock, pickaxe",
        tools=("mattock", "pickaxe"), kinds=(),
        cells=_cells(N, N, N, C, S, OK, told=(14, 16, 18)),
    ),
    ToolRow(
        "hand_auger", "hand corkscrew auger, 75 mm",
        tools=("hand_auger",), kinds=(),
        cells=(
            ToolCell(0, N),
            ToolCell(8, N, note="may keep the log"),
            ToolCell(12, N, note="may keep the log"),
            ToolCell(14, C, briefing=True, in_pairs=True),
            ToolCell(16, S, briefing=True),
            ToolCell(18, OK, briefing=True),
        ),
    ),
    ToolRow(
        "powered_auger", "powered auger, any",
        tools=("powered_auger",), kinds=(),
        cells=(
            *GROWN_TOLD[:-1],
            ToolCell(18, OK, briefing=True, in_pairs=True, note="two trained adults"),
        ),
        powered=True,
    ),
    ToolRow(
        "wheelbarrow", "wheelbarrow",
        tools=("barrow",), kinds=(),
        cells=(
            ToolCell(0, N),
            ToolCell(8, N),
            ToolCell(12, N),
            ToolCell(14, S, most_kg=40, note="barrow and load together"),
            ToolCell(16, S, most_kg=40, note="barrow and load together"),
            ToolCell(18, OK, most_kg=50, note="barrow and load together"),
        ),
    ),
    ToolRow(
        "ladder", "ladder or steps", tools=("ladder", "steps"), kinds=(), cells=GROWN_TOLD,
    ),
    ToolRow(
        "chipper_saw_trimmer", "chipper, chain saw, hedge or string trimmer",
        tools=("chipper", "chain_saw", "hedge_trimmer", "string_trimmer"), kinds=(),
        cells=GROWN_TOLD,
        powered=True,
    ),
    ToolRow(
        "watering_can", "watering can",
        tools=("watering_can",), kinds=(),
        cells=(
            ToolCell(0, S, most_kg=2),
            ToolCell(8, S, most_kg=3),
            ToolCell(12, S, most_kg=5),
            ToolCell(14, S, most_kg=8),
            ToolCell(16, S, most_kg=10),
            ToolCell(18, OK),
        ),
    ),
)  # fmt: skip

TOOL_AGES = ToolAges(
    rows=ROWS,
    powered=ToolRow(
        "powered", "powered tool", tools=(), kinds=(), cells=GROWN_TOLD, powered=True
    ),
    powered_zone=ToolRow(
        "powered_zone", "being near a powered tool at work", tools=(), kinds=(),
        cells=(
            *GROWN_TOLD[:-1],
            ToolCell(18, OK, briefing=True, note="with the protective wear its maker names"),
        ),
        powered=True,
    ),
    sources=(
        FigureSource("rows", SOURCE, "common practice", CHECKED_ON),
        FigureSource("powered", POWERED_SOURCE, "published", CHECKED_ON),
        FigureSource("powered_zone", "Proposed; makers' handbooks", "proposed", CHECKED_ON),
    ),
)  # fmt: skip
