"""A small card for each person of a published roster, several to a sheet, to be cut out.

For pockets and lanyards: who, what in each round, whom to ask. Adults carry
their printed name, young people their first name; a pupil's card has a number
and the class. Not for contacts or health: a card gets lost.
"""

from dataclasses import dataclass
from typing import Any

from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from orchard.domain.ordering import natural_key
from scheduling.domain.published import PublishedRoster, RosterPerson
from scheduling.domain.wording import listed, weekday_words
from scheduling.sheets.day import Day, build_day
from scheduling.sheets.fonts import REGULAR, markup
from scheduling.sheets.paper import MARGIN, MM, Paper, body_style, strong_style
from scheduling.sheets.render import render_document
from scheduling.sheets.tables import text
from scheduling.sheets.words import foot_words, is_pupil, span_words, time_words

COLUMNS = 2
CARD_WIDTH, CARD_HEIGHT = 90 * MM, 66 * MM  # invented: a breast pocket; more rounds make it taller
SIZE_PT = 12.0
_PAD = 3 * MM


@dataclass(frozen=True, slots=True)
class CardRound:
    """What one person does in one round."""

    when: str
    what: str


@dataclass(frozen=True, slots=True)
class Card:
    """One person's card, worded."""

    name: str
    about: str
    when: str
    rounds: tuple[CardRound, ...]
    turn_to: str
    emergency: str


def build_cards(roster: PublishedRoster) -> tuple[Card, ...]:
    """Return a card for everybody on the roster, named people by name, pupils last by class."""
    day = build_day(roster)
    people = sorted(
        roster.people,
        key=lambda p: (is_pupil(p), p.group_name if is_pupil(p) else "", natural_key(p.name)),
    )
    return tuple(_card(day, person) for person in people)


def _card(day: Day, person: RosterPerson) -> Card:
    session, site = day.roster.session, day.roster.site
    about = [person.group_name, *(r for r in person.roles if r != "pupil")]
    leads = sorted(p.name for p in day.roster.people if "session lead" in p.roles)
    lead = listed(leads).rstrip(".") or "the session lead"
    rounds = []
    for number, times in enumerate(session.rounds):
        at = next(
            (
                named
                for named in day.tasks
                if any(p.id == person.id for p in day.crews.get((named.day_task.id, number), ()))
            ),
            None,
        )
        what = f"{at.letter}  {at.day_task.task.title}" if at else "–  rest, or ask the lead"
        rounds.append(CardRound(f"{times.number}  {time_words(times.starts_at)}", what))
    return Card(
        name=f"Pupil {person.name}" if person.name.isdecimal() else person.name,
        about=", ".join(part for part in about if part),
        when=(
            f"{weekday_words(session.starts_at)}, {span_words(session.starts_at, session.ends_at)}"
        ),
        rounds=tuple(rounds),
        turn_to=f"Unsure, tired, hurt: stop and tell {lead}.",
        emergency=f"Emergency: {site.emergency.number}. Muster at {site.emergency.muster_point}.",
    )


def render_cards(roster: PublishedRoster, *, paper: Paper = Paper.A4) -> bytes:
    """Return all cards as a PDF, two beside each other with lines to cut along.

    Args:
        roster: The published roster.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
    """
    cards = build_cards(roster)

    def build(width: float, height: float) -> list[Flowable]:
        return [_cards_table(cards, width, height)] if cards else [text("Nobody is on the roster.")]

    return render_document(
        build,
        title=f"Cards: {roster.session.title}",
        site=f"{roster.site.name}, {roster.site.town}",
        subject="A card for each person",
        foot=foot_words(roster),
        language="en",
        paper=paper,
    )


def _cards_table(cards: tuple[Card, ...], width: float, height: float) -> Table:
    # A row is never split: a card cut in two is none.
    rows: list[list[Any]] = []
    for first in range(0, len(cards), COLUMNS):
        cells: list[Any] = [_card_cell(card) for card in cards[first : first + COLUMNS]]
        rows.append(cells + [""] * (COLUMNS - len(cells)))
    side = (width - COLUMNS * CARD_WIDTH) / 2
    most = height / max(1, int(height // CARD_HEIGHT))
    return Table(
        rows,
        colWidths=[CARD_WIDTH] * COLUMNS,
        minRowHeights=[min(CARD_HEIGHT, most)] * len(rows),
        hAlign="CENTER",
        spaceBefore=max(0.0, side - MARGIN),
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), REGULAR, SIZE_PT),
                ("GRID", (0, 0), (-1, -1), 0.4, "black", None, (2, 3)),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), _PAD),
                ("RIGHTPADDING", (0, 0), (-1, -1), _PAD),
                ("TOPPADDING", (0, 0), (-1, -1), _PAD),
                ("BOTTOMPADDING", (0, 0), (-1, -1), _PAD),
            ]
        ),
    )


def _card_cell(card: Card) -> list[Flowable]:
    plain = body_style(SIZE_PT)
    parts: list[Flowable] = [text(card.name, strong_style(14))]
    if card.about:
        parts.append(text(card.about, plain))
    parts.append(text(card.when, body_style(SIZE_PT, spaceAfter=2)))
    hanging = body_style(SIZE_PT, leftIndent=18 * MM, firstLineIndent=-18 * MM)
    for line in card.rounds:
        words = f"<b>{markup(line.when)}</b>  {markup(line.what)}"
        parts.append(Paragraph(words, hanging))
    parts.append(text(card.turn_to, body_style(SIZE_PT, spaceBefore=3)))
    parts.append(text(card.emergency, plain))
    return parts
