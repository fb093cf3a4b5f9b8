"""Reads a site's seasons as totals for a reader. Not for anything that names a person."""

from collections.abc import Sequence

from django.db.models import Sum

from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.domain.totals import SeasonTotals, WorkTotal, withhold_small
from scheduling.models import Season, Session, SessionRecord, SignUp, WorkRecord
from scheduling.queries.class_counts import count_classes_coming

BORING = ("core", "hole")  # kind and unit of the tasks that bore


def load_totals(site_id: int) -> tuple[SeasonTotals, ...]:
    """Return the totals of each season of a site, the newest first."""
    seasons = Season.objects.filter(site_id=site_id).order_by("-code")
    return tuple(_total(season) for season in seasons)


def _total(season: Season) -> SeasonTotals:
    records = tuple(
        SessionRecord.objects.filter(session__season=season)
        .select_related("session")
        .order_by("session__starts_at", "pk")
    )
    came = sum(record.people for record in records)
    minutes = sum(
        record.people * record.session.rounds * record.session.round_minutes for record in records
    )
    work = _add_work(season)
    adults, young = _count_people(records)
    return SeasonTotals(
        name=season.name,
        sessions=season.sessions.exclude(state=Session.State.CALLED_OFF).count(),
        sessions_recorded=len(records),
        came=withhold_small(came),
        hours_given=minutes / 60 if withhold_small(came) is not None else None,
        adults=withhold_small(adults),
        young_people=withhold_small(young),
        pupils=withhold_small(_count_pupils(records)),
        holes_bored=sum(line.units for line in work if (line.kind, line.unit) == BORING),
        work=work,
    )


def _add_work(season: Season) -> tuple[WorkTotal, ...]:
    rows = (
        WorkRecord.objects.filter(record__session__season=season, units__gt=0)
        .values_list("task__kind", "task__unit")
        .annotate(done=Sum("units"))
        .order_by("task__kind", "task__unit")
    )
    return tuple(WorkTotal(kind, unit, done) for kind, unit, done in rows)


def _count_people(records: Sequence[SessionRecord]) -> tuple[int, int]:
    """Return how many different adults and young people were to come to what is recorded.

    Who turned eighteen between two sessions counts as young, so that nobody counts twice.
    """
    rows = SignUp.objects.filter(
        session__record__in=records, state=SignUp.State.CONFIRMED, person__isnull=False
    ).select_related("person", "session")
    ages: dict[int, int] = {}
    for row in rows:
        person = row.person
        if person is None or person.erased_at is not None:
            continue
        age = age_on(person.birth_year, person.birth_month, row.session.starts_at.date())
        ages[person.pk] = min(age, ages.get(person.pk, age))
    young = sum(age < ADULT_AGE for age in ages.values())
    return len(ages) - young, young


def _count_pupils(records: Sequence[SessionRecord]) -> int:
    classes = count_classes_coming(record.session_id for record in records)
    return sum(each.pupils for coming in classes.values() for each in coming)
