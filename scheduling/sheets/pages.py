"""The sheets of a day pack as flowables, one function per sheet.

Words come ready from `parts`; sizes and rules from `paper` and `tables`. The
task sheet has its own module, `task_page`. Not for the document: `render` is.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from reportlab.platypus import CondPageBreak, Flowable, PageBreak, Spacer

from orchard.domain.units import System
from scheduling.domain.wording import stop
from scheduling.sheets.drawing import SiteDrawing
from scheduling.sheets.paper import MM, body_style, strong_style
from scheduling.sheets.parts import (
    Briefing,
    CloseOutSheet,
    DayPack,
    KitList,
    NearMissForm,
    RosterTable,
    SettingOutSheet,
    SignInLine,
    SignInSheet,
)
from scheduling.sheets.tables import (
    Bookmark,
    caution_table,
    fact_table,
    heading,
    height_of,
    ledger,
    numbered,
    text,
    title,
    together,
)
from scheduling.sheets.task_page import build_task_page

_WRITE_IN = 11 * MM
_ROOM_FOR_A_START = 40 * MM  # a heading, a table head and a few rows; else a new page
_TAPE_COLUMNS = 4
_SHORT_NAME = 6  # “42 F14”: beside it three columns of feet, inches and parts of an inch fit
_MAP_LEAST = 80 * MM
_MAP_MOST = 113 * MM
_ANSWER = 25 * MM


@dataclass(frozen=True, slots=True)
class _Sheet:
    """One sheet of the pack: the key it is asked for by, its name, its depth, what makes it."""

    key: str
    name: str
    level: int
    build: Callable[[], list[Flowable]]


def list_sheets(pack: DayPack) -> tuple[tuple[str, str], ...]:
    """Return the key and the name of every sheet, in printing order."""
    return tuple((sheet.key, sheet.name) for sheet in _sheets(pack, 0.0, 0.0))


def build_story(
    pack: DayPack, width: float, height: float, *, only: str | None = None
) -> list[Flowable]:
    """Return sheets of the pack in printing order, for a frame of this size in points.

    Args:
        pack: The worded pack.
        width: Of the frame.
        height: Of the frame.
        only: The key of one sheet, as `list_sheets` gives it; None for all.
    """
    story: list[Flowable] = []
    task_heading_due = only is None
    chosen = [sheet for sheet in _sheets(pack, width, height) if only in (None, sheet.key)]
    for number, sheet in enumerate(chosen):
        if number:
            story.append(PageBreak())
        if sheet.level == 1 and task_heading_due:
            story.append(Bookmark("tasks", "Task sheets", 0))
            task_heading_due = False
        level = sheet.level if only is None else 0
        story.append(Bookmark(f"sheet-{number}", sheet.name, level))
        story += sheet.build()
    return story


def _sheets(pack: DayPack, width: float, height: float) -> list[_Sheet]:
    sheets = [
        _Sheet("briefing", "Briefing", 0, lambda: briefing_sheet(pack, width)),
        _Sheet("map", "Map of the day", 0, lambda: map_sheet(pack, width, height)),
        _Sheet("roster", "Roster", 0, lambda: roster_sheet(pack.roster, width)),
    ]
    for task in pack.task_sheets:
        name = f"Task {task.letter}: {task.title}"
        build = partial(build_task_page, task, width, height)
        sheets.append(_Sheet(f"task-{task.letter}", name, 1, build))
    for plan in pack.setting_out:
        build = partial(setting_out_sheet, plan, width, height)
        sheets.append(_Sheet(f"setting-out-{plan.letter}", plan.title, 1, build))
    sheets.append(_Sheet("kit", "Kit list", 0, lambda: kit_sheet(pack.kit, width)))
    sheets.append(_Sheet("sign-in", "Sign-in sheet", 0, lambda: sign_in_sheet(pack.sign_in, width)))
    close_out = pack.close_out
    if close_out:
        build = partial(close_out_sheet, close_out, width)
        sheets.append(_Sheet("close-out", "Close-out sheet", 0, build))
    build = partial(near_miss_sheet, pack.near_miss, width)
    sheets.append(_Sheet("near-miss", "Near-miss form", 0, build))
    return sheets


def briefing_sheet(pack: DayPack, width: float) -> list[Flowable]:
    """Return what is read out before work starts."""
    briefing: Briefing = pack.briefing
    story: list[Flowable] = [title(briefing.title)]
    if pack.changed_since:
        words = "Out of date: publish the roster again, then print again."
        story += [text(words, strong_style(14, spaceAfter=2)), numbered(pack.changed_since, width)]
    story += [
        fact_table(briefing.facts, 30 * MM, width),
        together(heading("In an emergency"), fact_table(briefing.emergency, 58 * MM, width)),
        together(heading("Who is who"), fact_table(briefing.who, 58 * MM, width)),
    ]
    if briefing.weather:
        story.append(together(heading("Weather"), fact_table(briefing.weather, 30 * MM, width)))
    if briefing.tasks:
        rows = [
            (task.letter, task.title, task.where, task.amount, task.rounds)
            for task in briefing.tasks
        ]
        widths = _shares(width, (6, 32, 32, 15, 15))
        story += [
            CondPageBreak(_ROOM_FOR_A_START),
            heading("Today's work"),
            ledger(("", "Task", "Where", "How much", "When"), rows, widths),
        ]
    cautions = caution_table(briefing.hazards, width)
    if cautions is not None:
        story.append(together(heading("Say this to everybody"), cautions))
    return story


def map_sheet(pack: DayPack, width: float, height: float) -> list[Flowable]:
    """Return the whole site on one page, the tasks' letters on it and below it."""
    legend = text(
        "Shaded: ground worked today. Dashed circles: nobody bores inside. Dotted circles: root "
        "protection. Hatched bands: buried services, keep out with every tool.",
        body_style(12, spaceBefore=4, spaceAfter=6),
    )
    head = title(pack.map_title)
    taken = sum(part.wrap(width, height)[1] + 14 for part in (head, legend))
    drawing = SiteDrawing(pack.site_drawing, width, height - taken)
    drawing = SiteDrawing(pack.site_drawing, width, min(drawing.needed_height, height - taken))
    parts: list[Flowable] = [head, drawing, legend]
    if pack.briefing.tasks:
        rows = [(task.letter, task.title, task.where) for task in pack.briefing.tasks]
        parts.append(ledger(("", "Task", "Where"), rows, _shares(width, (6, 44, 50))))
    return parts


def roster_sheet(roster: RosterTable, width: float) -> list[Flowable]:
    """Return who works where, by round and crew and then by name."""
    story: list[Flowable] = [title("Roster")]
    widths = _shares(width, (7, 30, 48, 15))
    for block in roster.rounds:
        rows = [
            (crew.letter, crew.title, ", ".join(crew.people), crew.amount) for crew in block.crews
        ]
        story += [CondPageBreak(_ROOM_FOR_A_START), heading(block.heading)]
        if rows:
            # The round is in the head too, for a table that runs on to the next page.
            heads = ("", f"{block.heading.partition(',')[0]}: task", "Crew, lead first", "To do")
            story.append(ledger(heads, rows, widths))
        else:
            story.append(text("No crew works in this round."))
        if block.without_task:
            without = stop(f"Not at a task: {block.without_task}")
            story.append(text(without, body_style(spaceBefore=3)))
    count = len(roster.round_heads)
    letter_width = min(12 * MM, width * 0.4 / max(count, 1))
    rest = width - letter_width * count
    rows_by_name = [(line.name, line.roles, *line.letters) for line in roster.people]
    story += [
        PageBreak(),
        heading("Find your name"),
        text("The letter is your task in each round; – is a round without one."),
        ledger(
            ("Name", "Role today", *roster.round_heads),
            rows_by_name,
            (rest * 0.5, rest * 0.5, *([letter_width] * count)),
        ),
    ]
    return story


def setting_out_sheet(sheet: SettingOutSheet, width: float, height: float) -> list[Flowable]:
    """Return the drawing and the tape lengths of one pocket's holes.

    On one page when the drawing keeps a fair size; else the table runs on.
    """
    metric = sheet.drawing.system is System.METRIC
    columns, shares = _TAPE_COLUMNS, (20, 10, 10)
    if not metric:
        longest = max((len(line.hole) for line in sheet.lines), default=0)
        columns, shares = (3, (11, 17, 17)) if longest <= _SHORT_NAME else (2, (24, 18, 18))
    count = -(-len(sheet.lines) // columns)
    rows = []
    for number in range(count):
        row: list[str] = []
        for line in sheet.lines[number::count]:
            row += [line.hole, line.from_a, line.from_b]
        rows.append(row + [""] * (3 * columns - len(row)))
    heads = (("Hole", "A, m", "B, m") if metric else ("Hole", "A", "B")) * columns
    widths = _shares(width, shares * columns)
    head = [title(sheet.title), numbered(sheet.how, width)]
    table = ledger(heads, rows, widths, figures=tuple(range(3 * columns)))
    left = height - height_of([*head, table], width, height)
    drawing_height = min(left, _MAP_MOST) if left >= _MAP_LEAST else _MAP_MOST
    return [*head, SiteDrawing(sheet.drawing, width, drawing_height), table]


def kit_sheet(kit: KitList, width: float) -> list[Flowable]:
    """Return what must stand ready before the first round."""
    story: list[Flowable] = [title("Kit list")]
    if kit.tools:
        rows = [("", t.name, str(t.needed), str(t.on_hand), t.note) for t in kit.tools]
        widths = _shares(width, (8, 34, 13, 13, 32))
        story += [
            CondPageBreak(_ROOM_FOR_A_START),
            heading("Tools: the most used at once"),
            ledger(
                ("Out", "Tool", "Needed", "On hand", "Note"),
                rows,
                widths,
                figures=(2, 3),
                boxed=(0,),
            ),
        ]
    if kit.materials:
        lines = [("", m.name, m.volume, m.bags, m.barrows, m.weight) for m in kit.materials]
        widths = _shares(width, (8, 28, 16, 18, 16, 14))
        heads = ("Here", "Material", "Loose", "Bags", "Loads", "Weight")
        story += [
            CondPageBreak(_ROOM_FOR_A_START),
            heading("Materials: must be on the site before the first round"),
            ledger(heads, lines, widths, boxed=(0,)),
            text("Loose volume, as bought. Deliver to where the map shows the work."),
        ]
    story += [CondPageBreak(_ROOM_FOR_A_START), heading("Always")]
    story += [text(f"□  {line}", body_style(12, spaceAfter=3)) for line in kit.always]
    return story


def sign_in_sheet(sheet: SignInSheet, width: float) -> list[Flowable]:
    """Return a line for everybody, with boxes for times; classes are counted."""
    people = [line for line in sheet.lines if not line.is_class]
    classes = [line for line in sheet.lines if line.is_class]
    story: list[Flowable] = [
        title("Sign-in sheet"),
        text(f"{sheet.total}. Write the time you come and the time you go."),
        Spacer(1, 4),
    ]
    if classes:
        widths = _shares(width, (28, 14, 15, 15, 28))
        heads = ("Class, by number", "Expected", "Came: time, number", "Went: time, number",
                 "Signed by school staff")  # fmt: skip
        rows_by_class = [(line.name, f"{line.count} pupils", "", "", "") for line in classes]
        story.append(
            together(
                heading("Classes"),
                ledger(heads, rows_by_class, widths, row_height=15 * MM, boxed=(2, 3, 4)),
            )
        )
    if people:
        widths = _shares(width, (25, 27, 11, 11, 26))
        heads = ("Name", "Group, role", "Came", "Went", "Collected by, at")
        rows = [_sign_in_row(line) for line in people]
        if classes:
            story.append(heading("Everybody else"))
        story.append(ledger(heads, rows, widths, row_height=_WRITE_IN, boxed=(2, 3, 4)))
    return story


def _sign_in_row(line: SignInLine) -> tuple[str, str, str, str, str]:
    about = ", ".join(part for part in (line.group, line.roles) if part)
    return (line.name, about, "", "", line.collected_by or "–")


def close_out_sheet(sheet: CloseOutSheet, width: float) -> list[Flowable]:
    """Return the count of holes opened and filled."""
    rows = [(line.letter, line.title, line.planned, line.filled_by, "", "", "")
            for line in sheet.lines]  # fmt: skip
    widths = _shares(width, (5, 25, 13, 20, 13, 11, 13))
    heads = ("", "Opens ground", "Planned", "Filled by task", "Opened", "Filled", "Initials")
    return [
        title("Close-out sheet: every hole opened is filled"),
        numbered(sheet.words, width),
        Spacer(1, 6),
        ledger(heads, rows, widths, row_height=13 * MM, boxed=(4, 5, 6)),
        Spacer(1, 14),
        text("Lead's name and signature, time:", strong_style(12, spaceAfter=26)),
    ]


def near_miss_sheet(form: NearMissForm, width: float) -> list[Flowable]:
    """Return a form for what nearly hurt somebody, on one page."""
    kinds = "    ".join(f"□ {kind}" for kind in form.kinds)
    rows = [(question, "") for question in form.questions]
    return [
        title("Near-miss form"),
        fact_table(form.facts, 24 * MM, width),
        Spacer(1, 4),
        numbered(form.words, width),
        text(kinds, body_style(12, spaceBefore=6, spaceAfter=6)),
        ledger(
            ("Question", "Answer"),
            rows,
            _shares(width, (32, 68)),
            row_height=_ANSWER,
            boxed=(1,),
        ),
        Spacer(1, 10),
        text("Read by the session lead: initials, time, what follows:", strong_style(12)),
    ]


def _shares(width: float, shares: tuple[int, ...]) -> tuple[float, ...]:
    return tuple(width * share / sum(shares) for share in shares)
