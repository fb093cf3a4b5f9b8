"""The quick answer at sign-up is the whole rule book's answer, over many small sessions.

The reference is asked plainly: everybody through Django's own questions, every rule over
the roster's whole problem, nothing kept from one session to the next.
"""

import random
from datetime import timedelta

import pytest
from django.db import transaction

from scheduling.domain.admission import check_admission
from scheduling.domain.names_hidden import hide_names
from scheduling.domain.people import ADULT_AGE, PersonId, age_on
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.session_limits import FULL, build_full_finding
from scheduling.models import Person, PlannedWork, SeasonPlan, Session, SignUp
from scheduling.queries import session_frames
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.session_rows import day_of
from scheduling.services.session_admission import judge_people, lock_session
from scheduling.services.signups import record_signup
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

SEEDS = range(24)


def fill(session: Session, chosen: random.Random) -> tuple[Person, ...]:
    """Fill a session at random; return who asks to come."""
    everybody = list(Person.objects.filter(site=session.season.site, active=True).order_by("pk"))
    SignUp.objects.filter(session=session).delete()
    chosen.shuffle(everybody)
    coming = everybody[: chosen.randint(0, 8)]
    for number, person in enumerate(coming, start=1):
        offered = chosen.random() < 0.25
        SignUp.objects.create(
            session=session,
            person=person,
            state="offered" if offered else "confirmed",
            at=NOW,
            line=number if offered else None,
            offer_until=NOW + timedelta(hours=5) if offered else None,
        )
    free = chosen.choice((0, 0, 1, 2, 20))
    Session.objects.filter(pk=session.pk).update(capacity=max(1, len(coming) + free))
    return tuple(everybody[len(coming) :][: chosen.choice((1, 1, 2, 3))])


def is_adult(person: Person, session: Session) -> bool:
    return age_on(person.birth_year, person.birth_month, day_of(session)) >= ADULT_AGE


def judge_plainly(session: Session, asking: tuple[Person, ...]) -> tuple[Finding, ...]:
    """Return every finding of every rule, and the session's being full, on those who ask."""
    session_frames._KEPT.clear()
    ids = tuple(PersonId(pk) for pk in sorted(person.pk for person in asking))
    offered = [row.person for row in SignUp.objects.filter(session=session, state="offered")]
    young = [p.pk for p in offered if p is not None and not is_adult(p, session)]
    problem = load_roster_problem(session.pk, also_people=(*ids, *young))
    heads = len(problem.people) + len(offered) - len(young)
    findings = check_admission(hide_names(problem, ids), ids).findings
    if heads <= session.capacity:
        return findings
    full = build_full_finding(
        session.code,
        capacity=session.capacity,
        coming=heads - len(ids),
        newcomers=len(ids),
    )
    return (full, *findings)


def blocks(findings: tuple[Finding, ...]) -> bool:
    return any(finding.severity is Severity.BLOCKS for finding in findings)


@pytest.fixture
def session(season_of_the_file: None) -> Session:
    """S06 with work of its own, so that rules have something to ask."""
    row = Session.objects.select_related("season__site").get(code="S06")
    SignUp.objects.exclude(session=row).delete()  # clashes have tests of their own
    plan = SeasonPlan.objects.create(
        season=row.season, made_at=NOW, status="good", seconds=0.1, seed=1, engine="by hand"
    )
    from orchard.models import Task

    for task in Task.objects.filter(state="open").order_by("position")[:4]:
        PlannedWork.objects.create(season_plan=plan, session=row, task=task, units=1)
    return row


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_answered_quickly_is_what_all_rules_say(session: Session, seed: int) -> None:
    asking = fill(session, random.Random(seed))
    session.refresh_from_db()
    ids = tuple(PersonId(pk) for pk in sorted(person.pk for person in asking))
    whole = judge_plainly(session, asking)

    with transaction.atomic():
        quick = judge_people(lock_session(session.pk), NOW, ids)
        again = judge_people(lock_session(session.pk), NOW, ids)

    assert again == quick
    asks_nothing = all(is_adult(p, session) and not p.restrictions for p in asking)
    if asks_nothing and whole and whole[0].rule == quick[0].rule == FULL:
        assert quick == whole[:1]  # told so at once; the rest is asked before an offer
    else:
        assert quick == whole


@pytest.mark.parametrize("seed", SEEDS)
def test_who_is_confirmed_is_whom_no_rule_blocks(session: Session, seed: int) -> None:
    asking = fill(session, random.Random(seed))
    session.refresh_from_db()
    whole = judge_plainly(session, asking)
    before = set(SignUp.objects.filter(session=session, state="confirmed").values_list("person_id"))

    receipt = record_signup(
        session_id=session.pk, person_ids=tuple(person.pk for person in asking), at=NOW
    )

    after = set(SignUp.objects.filter(session=session, state="confirmed").values_list("person_id"))
    assert (receipt.state == "confirmed") == (not blocks(whole))
    added = {(person.pk,) for person in asking} if receipt.state == "confirmed" else set()
    assert after == before | added


def test_the_sweep_meets_every_answer(session: Session) -> None:
    """Else it would say little: free and full sessions, adults and the young, offers and none."""
    states = set()
    for seed in SEEDS:
        asking = fill(session, random.Random(seed))
        ids = tuple(person.pk for person in asking)
        states.add(record_signup(session_id=session.pk, person_ids=ids, at=NOW).state)

    assert states == {"confirmed", "waiting", "refused"}
