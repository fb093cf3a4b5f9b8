"""CON-1: consent forms. A consent that is old, for another form, or lacks the work is not valid."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduling.domain.problem import Consent
from tests.scheduling.domain.rule_days import (
    FIRST,
    FORM,
    LAST,
    ON,
    broken,
    child,
    conditions_of,
    day,
    person,
    pupil,
    task,
)

TASKS = [task(1, kind="weed"), task(2, kind="core")]


def refused(age: int, consents: tuple[Consent, ...], number: int = 1) -> bool:
    problem = day([child(1, age, consents=consents)], TASKS)
    return bool(broken("CON-1", problem, {(number, 0): [1]}))


@pytest.mark.parametrize(
    ("consents", "passes"),
    [
        ((), False),
        ((Consent(FORM, FIRST, LAST),), True),
        ((Consent(FORM, ON, ON),), True),  # first and last day count
        ((Consent(FORM, FIRST, date(2027, 4, 16)),), False),
        ((Consent(FORM, date(2027, 4, 18), LAST),), False),
        # Reference 3.12: older than 12 months is not valid, however long the form says.
        ((Consent(FORM, date(2026, 4, 17), LAST),), True),
        ((Consent(FORM, date(2026, 4, 16), LAST),), False),
        ((Consent("2026-1", FIRST, LAST),), False),  # another version of the form
        ((Consent("2026-1", FIRST, LAST), Consent(FORM, FIRST, LAST)), True),
    ],
)
def test_version_and_days(consents: tuple[Consent, ...], passes: bool) -> None:
    assert refused(15, consents) is not passes


def test_kinds_of_work_covered() -> None:
    weeding_only = (Consent(FORM, FIRST, LAST, ("weed",)),)
    assert not refused(15, weeding_only, number=1)
    assert refused(15, weeding_only, number=2)
    both = (*weeding_only, Consent(FORM, FIRST, LAST, ("core",)))
    assert not refused(15, both, number=2)


@pytest.mark.parametrize(("age", "needs"), [(17, True), (18, False), (7, True)])
def test_asked_of_everyone_under_18(age: int, needs: bool) -> None:
    assert refused(age, ()) is needs


def test_pupils_come_under_the_schools_own_authority() -> None:
    assert conditions_of("CON-1", day([pupil(1, 9), person(2, 40)], TASKS)) == ()


@pytest.mark.parametrize(
    ("consents", "words"),
    [
        ((), "No guardian's consent is on file for Leo."),
        ((Consent("2026-1", FIRST, LAST),), "is form 2026-1; the form in use is 2027-1."),
        ((Consent(FORM, FIRST, date(2027, 3, 1)),), "ended on 1 March 2027"),
        ((Consent(FORM, date(2027, 5, 1), LAST),), "begins on 1 May 2027"),
    ],
)
def test_the_reason_says_what_is_wrong(consents: tuple[Consent, ...], words: str) -> None:
    (condition,) = conditions_of("CON-1", day([child(1, 15, consents=consents, name="Leo")]))
    assert words in condition.reason.text


def test_how_long_a_consent_holds_is_the_sites_figure() -> None:
    old = (Consent(FORM, date(2025, 1, 1), LAST),)
    problem = day([child(1, 15, name="Ela", consents=old)], TASKS)
    (found,) = broken("CON-1", problem, {(1, 0): [1]})
    assert "The consent on file for Ela ended on 1 January 2026" in found.text
    lenient = day([child(1, 15, consents=old)], TASKS, consent_months=36)
    assert not broken("CON-1", lenient, {(1, 0): [1]})


def test_an_older_form_counts_where_the_one_in_use_lets_it_stand() -> None:
    consents = (Consent("form 1", FIRST, LAST),)
    problem = day([child(1, 14, consents=consents)], TASKS)
    assert broken("CON-1", problem, {(1, 0): [1]})

    standing = replace(problem, older_consent_versions=("form 1",))

    assert not broken("CON-1", standing, {(1, 0): [1]})
    late = replace(standing, on=LAST + timedelta(days=1))
    assert broken("CON-1", late, {(1, 0): [1]})
