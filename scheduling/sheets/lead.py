"""The session lead's own sheet: whom to hear before the start, and who answers for what.

Front door: `render_lead_sheet`. It names people who asked that the lead hear
something; what it is stands nowhere. Never part of the day pack, whose sheets
hang in the shed and go from hand to hand.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable

from scheduling.domain.published import PublishedRoster
from scheduling.domain.wording import weekday_words
from scheduling.sheets.paper import MM, Paper, body_style, strong_style
from scheduling.sheets.parts import Fact
from scheduling.sheets.render import render_document
from scheduling.sheets.tables import fact_table, heading, ledger, text, title
from scheduling.sheets.words import foot_words, span_words

# Common practice, no source.
KEEP_IT = (
    "For the session lead alone. Keep it on you, give it to nobody, tear it up after the session."
)
HOW_TO_HEAR = (
    "They, or who answers for them, asked that you and the first aider hear something before the "
    "start. Ask apart from the others and write nothing down. If it changes what they can do, "
    "move them before the first round."
)
NOBODY = "Nobody asked to be heard, up to when this was printed."
_ROLES = ("session lead", "first aider", "supervising adult")
_ROW = 11 * MM


@dataclass(frozen=True, slots=True)
class ToHear:
    """Somebody to be heard: the name that may be printed, and whom to ask in their place."""

    name: str
    ask: str  # the guardian of a young person; empty for who speaks for themselves


def render_lead_sheet(
    roster: PublishedRoster,
    to_hear: Sequence[ToHear],
    *,
    care_page: str = "",
    paper: Paper = Paper.A4,
) -> bytes:
    """Return the lead's sheet as a PDF.

    Args:
        roster: The roster as printed.
        to_hear: Who asked to be heard, in order.
        care_page: Address of the day's first-aid page; empty prints none.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
    """
    session, site = roster.session, roster.site
    return render_document(
        lambda width, _height: _story(roster, tuple(to_hear), care_page, width),
        title=f"For the lead: {session.title}, {site.name}",
        site=f"{site.name}, {site.town}",
        subject="For the session lead",
        foot=foot_words(roster),
        language="en",
        paper=paper,
    )


def _story(
    roster: PublishedRoster, to_hear: tuple[ToHear, ...], care_page: str, width: float
) -> list[Flowable]:
    story: list[Flowable] = [
        title(f"For the session lead: {roster.session.title}"),
        text(KEEP_IT, strong_style(12, spaceAfter=6)),
        fact_table(_facts(roster), 42 * MM, width),
        heading("To be heard before the start"),
    ]
    if to_hear:
        rows = [(each.name, each.ask or "themselves", "") for each in to_hear]
        widths = (width * 0.42, width * 0.4, width * 0.18)
        story.append(text(HOW_TO_HEAR, body_style(spaceAfter=4)))
        story.append(ledger(("Who", "Ask", "Heard"), rows, widths, row_height=_ROW, boxed=(2,)))
    else:
        story.append(text(NOBODY))
    story.append(heading("First-aid notes, and whom to call"))
    where = f" ({care_page})" if care_page else ""
    story.append(
        text(
            f"On no paper: on the page “First aid today”{where}, on the day itself, for you and "
            "the first aiders. Each look is kept. In an emergency call "
            f"{roster.site.emergency.number} first."
        )
    )
    return story


def _facts(roster: PublishedRoster) -> tuple[Fact, ...]:
    session = roster.session
    when = f"{weekday_words(session.starts_at)}, {span_words(session.starts_at, session.ends_at)}"
    return (
        Fact("When", when),
        *(
            Fact(
                role.capitalize(),
                ", ".join(sorted(p.name for p in roster.people if role in p.roles)) or "nobody",
            )
            for role in _ROLES
        ),
    )
