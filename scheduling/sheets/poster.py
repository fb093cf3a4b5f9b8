"""One sheet for the gate: what goes on today, where to turn, what to keep away from.

Read by whoever passes, so it names no volunteer and no child. Not part of the
day pack: it hangs outside.
"""

from reportlab.platypus import Flowable, Spacer, Table, TableStyle

from scheduling.domain.published import PublishedRoster
from scheduling.domain.wording import weekday_words
from scheduling.sheets.codes import AddressCode
from scheduling.sheets.paper import MM, Paper, body_style, strong_style
from scheduling.sheets.parts import CautionLine, Fact, Sign
from scheduling.sheets.render import render_document
from scheduling.sheets.tables import caution_table, fact_table, text
from scheduling.sheets.words import foot_words, span_words

# Common practice, no source.
SIGN_TEXTS: dict[Sign, str] = {
    "stop": "Marked ground: only the crews step in.",
    "services": "Cables and pipes lie here: only the crews dig.",
}
KEEP_TO_PATHS = "Please keep to the paths."
OPEN_HOLES = "Holes may be open inside the marked ground until they are filled."
STAY_OUTSIDE = "Children and dogs stay outside the marked ground."
_CODE = 48 * MM


def render_poster(
    roster: PublishedRoster, *, page_address: str = "", paper: Paper = Paper.A4
) -> bytes:
    """Return the gate's sheet as a PDF.

    Args:
        roster: The published roster.
        page_address: The session's page, printed as a code; empty prints none.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
    """
    session, site = roster.session, roster.site

    def build(width: float, _height: float) -> list[Flowable]:
        return _poster(roster, page_address, width)

    return render_document(
        build,
        title=f"{session.title}, {site.name}",
        site=f"{site.name}, {site.town}",
        subject="For the gate",
        foot=foot_words(roster),
        language="en",
        paper=paper,
    )


def _poster(roster: PublishedRoster, page_address: str, width: float) -> list[Flowable]:
    session, site = roster.session, roster.site
    large = body_style(25, spaceAfter=9)
    story: list[Flowable] = [
        text(site.name, strong_style(42, spaceAfter=6)),
        text("Volunteers at work today", strong_style(32, spaceAfter=14)),
        text(weekday_words(session.starts_at), large),
        text(span_words(session.starts_at, session.ends_at), large),
        text(f"Meet at {session.meeting_point}", large),
    ]
    kinds = sorted({day_task.task.kind for day_task in roster.tasks})
    if kinds:
        story.append(text(f"What is done: {', '.join(kinds)}", body_style(18, spaceAfter=12)))
    story.append(text("Coming to help? Go to the session lead at the meeting point first.", large))
    opens = any(day_task.task.opens_ground for day_task in roster.tasks)
    paths = f"{KEEP_TO_PATHS} {OPEN_HOLES}" if opens else KEEP_TO_PATHS
    for words in (paths, STAY_OUTSIDE):
        story.append(text(words, strong_style(20, spaceAfter=7)))
    shown = {caution.sign for day_task in roster.tasks for caution in day_task.task.cautions}
    lines = [CautionLine(sign, words) for sign, words in SIGN_TEXTS.items() if sign in shown]
    table = caution_table(lines, width, 18)
    if table is not None:
        story += [Spacer(1, 8), table]
    story += [Spacer(1, 16), _foot_row(roster, page_address, width)]
    return story


def _foot_row(roster: PublishedRoster, page_address: str, width: float) -> Flowable:
    site = roster.site
    place = site.emergency
    facts = fact_table(
        (
            Fact("Emergency", place.number),
            Fact("Entrance", f"{place.entrance}, {site.town}"),
            Fact("Position", f"{place.latitude:.5f}, {place.longitude:.5f}"),
            Fact("Muster at", place.muster_point),
            Fact("Organiser", f"{site.organiser_name}, {site.organiser_email}"),
        ),
        30 * MM,
        width - (_CODE + 4 * MM if page_address else 0),
    )
    if not page_address:
        return facts
    return Table(
        [[facts, AddressCode(page_address, _CODE)]],
        colWidths=[width - _CODE, _CODE],
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ]
        ),
    )
