"""The supervision statement: what published guidance asks of a class's visit, on paper.

Front doors: `build_statement`, `render_statement`. Counts, never names of
pupils. It states and defers; it decides nothing and is no legal advice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from reportlab.platypus import CondPageBreak, Flowable

from orchard.domain.unit_words import say_in
from orchard.domain.units import System
from scheduling.domain.class_visit import VisitAnswer
from scheduling.domain.group_check import SupervisionLine
from scheduling.domain.published import SessionFacts, SiteFacts
from scheduling.domain.wording import day_words, list_words, listed, plural, weekday_words
from scheduling.sheets.paper import MM, Paper, body_style, strong_style
from scheduling.sheets.parts import Fact
from scheduling.sheets.render import render_document
from scheduling.sheets.tables import fact_table, heading, ledger, text, title, together
from scheduling.sheets.words import span_words, time_words

DEFERRING = (
    "This states which published guidance asks for what. It is no legal advice. The school, its "
    "board and the local authority decide how many adults there must be; where they ask for more, "
    "that holds. Local codes, the school's own risk assessment and licensed practice go before "
    "this sheet."
)
_ROOM_FOR_A_START = 40 * MM


@dataclass(frozen=True, slots=True)
class AdoptedLine:
    """A rule set the statement was worked out by; `declared_by` a school, "" for the site."""

    code: str
    version: int
    title: str
    source: str
    status: str
    checked_on: date
    confirmed_by: str
    declared_by: str


@dataclass(frozen=True, slots=True)
class StatementFacts:
    """Everything the statement says, not yet worded."""

    site: SiteFacts
    session: SessionFacts
    school: str
    class_name: str
    needs: str
    check: VisitAnswer
    adopted: tuple[AdoptedLine, ...]
    made_at: datetime  # aware, in the site's zone
    system: System = System.METRIC  # the site's, as on its other papers


@dataclass(frozen=True, slots=True)
class AskedLine:
    """What one set asks, worded."""

    asked_by: str
    how: str
    required: str
    there: str
    missing: str
    worked_out: str
    source: str


@dataclass(frozen=True, slots=True)
class Statement:
    """The statement, worded and ready to print."""

    title: str
    site: str
    subject: str
    foot: str
    visit: tuple[Fact, ...]
    verdict: str
    asked: tuple[AskedLine, ...]
    who: tuple[tuple[str, str, str, str], ...]
    tasks: tuple[tuple[str, str, str], ...]
    findings: tuple[str, ...]
    changes: tuple[str, ...]
    sets: tuple[tuple[str, str, str], ...]
    deferring: str = DEFERRING
    language: str = "en"


def build_statement(facts: StatementFacts) -> Statement:
    """Return the statement in words, from the same answer the liaison's page shows."""
    check, session = facts.check, facts.session
    on = weekday_words(session.starts_at)
    made = f"{day_words(facts.made_at)}, {time_words(facts.made_at)}"
    versions = ", ".join(f"{line.code} version {line.version}" for line in facts.adopted)
    return Statement(
        title=f"Supervision statement: {facts.class_name}, {facts.school}",
        site=f"{facts.site.name}, {facts.site.town}",
        subject=f"{facts.class_name}, {on}",
        foot=f"Made {made} · {versions}",
        visit=_visit(facts, on, made),
        verdict=_verdict(check),
        asked=tuple(_asked(line) for line in check.lines),
        who=tuple(
            (
                line.who.capitalize(),
                str(line.number),
                "counts" if line.counts else "does not count",
                line.why,
            )
            for line in check.adults
        ),
        tasks=tuple(_task_words(facts)),
        findings=tuple(
            f"{finding.severity.capitalize()}: {say_in(finding.text, facts.system)} "
            f"({finding.rule}; {finding.source})"
            for finding in check.findings
        ),
        changes=check.changes,
        sets=tuple(_set_words(line) for line in facts.adopted),
    )


def _visit(facts: StatementFacts, on: str, made: str) -> tuple[Fact, ...]:
    numbers, session = facts.check.numbers, facts.session
    ages = ", ".join(f"{count} of {age} years" for age, count in numbers.pupils_by_age)
    adults = [
        f"{numbers.staff} staff, {numbers.checked_staff} with a background check in date",
        f"{plural(numbers.helpers, 'helper')}, {numbers.checked_helpers} with one",
    ]
    lines = [
        Fact("School", f"{facts.school}, {facts.class_name}"),
        Fact("Place", f"{facts.site.name}, {facts.site.town}; {session.meeting_point}"),
        Fact("Day", f"{on}, {span_words(session.starts_at, session.ends_at)}"),
        Fact("Pupils", f"{numbers.pupils}: {ages}; ages in completed years, the youngest they "
                       "can be that day"),
        Fact("Adults", "; ".join(adults[: 2 if numbers.helpers else 1])),
    ]  # fmt: skip
    if numbers.needing_own_adult:
        lines.append(
            Fact("Needs", f"{plural(numbers.needing_own_adult, 'pupil')} with an adult of their "
                          f"own. {facts.needs}".strip())
        )  # fmt: skip
    elif facts.needs:
        lines.append(Fact("Needs", facts.needs))
    lines.append(Fact("Made", f"{made}, from the numbers the school gave"))
    return tuple(lines)


def _verdict(check: VisitAnswer) -> str:
    if check.missing:
        return (
            f"By the adopted guidance below, {plural(check.missing, 'adult')} more would be needed."
        )
    if check.blocked:
        return "The numbers of adults are met; other findings below stand in the way."
    return "The numbers of adults that the adopted guidance below asks for are met."


def _asked(line: SupervisionLine) -> AskedLine:
    return AskedLine(
        asked_by=line.table or "the site",
        how=line.method,
        required=str(line.required),
        there=str(line.there),
        missing=str(line.missing) if line.missing else "–",
        worked_out=line.text,
        source=f"{line.rule}, {line.status}. {line.source}",
    )


def _task_words(facts: StatementFacts) -> list[tuple[str, str, str]]:
    found = []
    for visit in facts.check.tasks:
        ages = age_words(visit.task.may) if visit.is_open else "none"
        titles = list_words([say_in(title, facts.system) for title in visit.titles], most=4)
        found.append((titles, ages, say_in(" ".join(visit.why), facts.system) or "–"))
    return found


def age_words(ages: Sequence[int]) -> str:
    """Return ages as "10 and 11 years", or "none"."""
    return f"{listed(str(age) for age in ages)} years" if ages else "none"


def _set_words(line: AdoptedLine) -> tuple[str, str, str]:
    by = f", declared by {line.declared_by}" if line.declared_by else ""
    held = f"held against its source on {day_words(line.checked_on)}"
    held += f" by {line.confirmed_by}" if line.confirmed_by else "; not yet confirmed by the site"
    return (
        f"{line.code}, version {line.version}{by}",
        f"{line.title}. {line.source}",
        f"{line.status}; {held}",
    )


def render_statement(statement: Statement, *, paper: Paper = Paper.A4) -> bytes:
    """Return a supervision statement as a PDF; the same statement gives the same bytes.

    Args:
        statement: The worded statement from `build_statement`.
        paper: A4 or US Letter.

    Raises:
        FontMissing: If the installed fonts cannot be read.
    """
    return render_document(
        lambda width, _height: _story(statement, width),
        title=statement.title,
        site=statement.site,
        subject=statement.subject,
        foot=statement.foot,
        language=statement.language,
        paper=paper,
    )


def _story(statement: Statement, width: float) -> list[Flowable]:
    small = 10.0
    story: list[Flowable] = [
        title(statement.title),
        fact_table(statement.visit, 28 * MM, width),
        text(statement.verdict, strong_style(13, spaceBefore=8, spaceAfter=4)),
        text(statement.deferring, body_style(12, spaceAfter=4)),
    ]
    if statement.asked:
        story += _section(
            "How many adults each adopted set asks for",
            ("Asked by", "How it is counted", "Asks", "There", "Lacks", "Worked out, and source"),
            [
                (x.asked_by, x.how, x.required, x.there, x.missing, f"{x.worked_out} {x.source}")
                for x in statement.asked
            ],
            _shares(width, (16, 19, 8, 8, 8, 41)),
            figures=(2, 3, 4),
            size=small,
        )
    story += _section(
        "Who counts as a supervising adult",
        ("Who", "Number", "", "Why"),
        statement.who,
        _shares(width, (18, 10, 16, 56)),
        figures=(1,),
        size=small,
    )
    if statement.tasks:
        story += _section(
            "What the pupils can do",
            ("Task", "Open to", "How, and why not"),
            statement.tasks,
            _shares(width, (34, 14, 52)),
            size=small,
        )
    for words, lines in (
        ("Findings", statement.findings),
        ("What would meet it", statement.changes),
    ):
        if lines:
            story.append(heading(words))
            story += [text(f"– {line}", body_style(small, spaceAfter=2)) for line in lines]
    story += _section(
        "Rule sets this was worked out by",
        ("Set", "What it is", "Standing"),
        statement.sets,
        _shares(width, (24, 46, 30)),
        size=small,
    )
    story.append(
        together(
            heading("For the school"),
            text("Seen, and held against the school's own rules, by:", body_style(12)),
            text("Name, date, signature:", body_style(12, spaceBefore=26, spaceAfter=20)),
        )
    )
    return story


def _section(
    words: str,
    heads: tuple[str, ...],
    rows: Sequence[Sequence[str]],
    widths: tuple[float, ...],
    *,
    figures: tuple[int, ...] = (),
    size: float,
) -> list[Flowable]:
    table = ledger(heads, rows, widths, figures=figures, size=size)
    return [CondPageBreak(_ROOM_FOR_A_START), heading(words), table]


def _shares(width: float, shares: tuple[int, ...]) -> tuple[float, ...]:
    return tuple(width * share / sum(shares) for share in shares)
