"""The supervision statement read back from its PDF by a second program."""

from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from scheduling.domain.class_visit import ClassNumbers, check_visit
from scheduling.domain.policy import build_policy
from scheduling.domain.rule_sets import get_rule_set
from scheduling.sheets.paper import Paper
from scheduling.sheets.statement import (
    DEFERRING,
    AdoptedLine,
    StatementFacts,
    build_statement,
    render_statement,
)
from tests.scheduling.domain.rule_days import adult, day, task
from tests.scheduling.sheets import packed_day
from tests.scheduling.sheets.reading import page_texts, read_fonts, read_pdf

NUMBERS = ClassNumbers(
    pupils_by_age=((7, 7), (9, 9), (14, 11)),
    staff=3,
    checked_staff=2,
    helpers=2,
    checked_helpers=1,
    needing_own_adult=1,
    wished_kinds=("weed",),
)


def facts(numbers: ClassNumbers = NUMBERS, *codes: str) -> StatementFacts:
    sets = tuple(get_rule_set(code) for code in (codes or ("NSPCC-2023", "SITE-1")))
    problem = replace(
        day(
            [adult(1, name="Anneke T.")],
            [task(1, kind="weed", title="Weed the ring"), task(2, kind="core", minimum_age=14)],
            groups=(),
        ),
        policy=build_policy(sets),
    )
    published = packed_day.build_published()
    return StatementFacts(
        site=published.site,
        session=published.session,
        school="Sluice School, Ellemarre",
        class_name="Class 7",
        needs="One pupil keeps to the paths.",
        check=check_visit(problem, numbers),
        adopted=tuple(
            AdoptedLine(
                code=rules.code,
                version=rules.version,
                title=rules.title,
                source=rules.source,
                status=rules.status,
                checked_on=date(2026, 11, 25),
                confirmed_by="",
                declared_by="Sluice School" if rules.code == "LESTER-B-PEARSON" else "",
            )
            for rules in sets
        ),
        made_at=datetime(2027, 2, 1, 13, 5, tzinfo=ZoneInfo("Europe/Amsterdam")),
    )


def read(statement_facts: StatementFacts, paper: Paper = Paper.A4) -> str:
    return " ".join(page_texts(render_statement(build_statement(statement_facts), paper=paper)))


def test_the_printed_statement_defers_and_never_claims_law():
    text = read(facts())

    assert DEFERRING in text
    assert "This states which published guidance asks for what. It is no legal advice." in text
    assert "legal minimum" not in text.lower()


def test_it_names_the_class_the_day_and_when_it_was_made():
    text = read(facts())

    assert "Supervision statement: Class 7, Sluice School, Ellemarre" in text
    assert "27: 7 of 7 years, 9 of 9 years, 11 of 14 years" in text
    assert "3 staff, 2 with a background check in date; 2 helpers, 1 with one" in text
    assert "1 pupil with an adult of their own" in text
    assert "1 February 2027, 13:05" in text


def test_the_arithmetic_of_each_set_is_printed_with_its_source_and_version():
    text = read(facts())

    assert "7/6 + 9/8 + 11/10" in text
    assert "27/6 = 4.5" in text
    assert "NSPCC-2023, version 1" in text
    assert "Recommended adult to child ratios for working with children, September 2023" in text
    assert "held against its source on 25 November 2026; not yet confirmed by the site" in text


def test_who_counts_and_who_does_not_is_printed():
    text = read(facts())

    assert "does not count" in text
    assert "unless recruited, checked and trained" in text
    assert "never alone with pupils" in text


def test_what_is_missing_is_said_first_and_what_would_meet_it():
    built = build_statement(facts())

    assert "would be needed" in built.verdict
    assert built.changes
    assert all(change in read(facts()) for change in built.changes)


def test_a_class_with_enough_adults_is_told_so():
    enough = ClassNumbers(pupils_by_age=((10, 8),), staff=6, checked_staff=6)
    built = build_statement(facts(enough, "NSPCC-2023"))

    assert all(not line.missing for line in facts(enough, "NSPCC-2023").check.lines[:1])
    assert built.verdict.startswith(("The numbers of adults", "By the adopted guidance"))


def test_a_schools_own_set_is_named_as_declared_by_it():
    text = read(facts(NUMBERS, "NSPCC-2023", "LESTER-B-PEARSON"))

    assert "declared by Sluice School" in text


def test_no_volunteer_and_no_pupil_is_named():
    text = read(facts())

    assert "Anneke" not in text
    assert "pupil 1" not in text.replace("pupil 1 ", "")


@pytest.mark.parametrize(("paper", "width_pt"), [(Paper.A4, 595.28), (Paper.LETTER, 612.0)])
def test_it_fits_both_papers_with_embedded_fonts_and_numbered_pages(paper, width_pt):
    written = render_statement(build_statement(facts()), paper=paper)
    pages = page_texts(written)

    assert float(read_pdf(written).pages[0].mediabox.width) == pytest.approx(width_pt, abs=0.5)
    assert all(read_fonts(written).values())
    assert f"page 1 of {len(pages)}" in pages[0].replace("  ", " ")


def test_the_same_facts_give_the_same_bytes():
    assert render_statement(build_statement(facts())) == render_statement(build_statement(facts()))
