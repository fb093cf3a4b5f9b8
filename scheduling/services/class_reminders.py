"""Asks liaisons for the numbers of a class a week before, and tells whose are not confirmed.

Each question is keyed by class, session and day, so that it is asked once.
"""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.urls import reverse

from orchard.queries.sites import SiteRecord
from scheduling.domain.class_numbers import ASK_DAYS, OVERDUE_DAYS, NumbersState
from scheduling.domain.wording import listed, plural, weekday_words
from scheduling.models import Message, SchoolGroup, Session
from scheduling.queries.class_visits import ClassVisit, load_classes_coming
from scheduling.queries.sessions import SessionPage
from scheduling.services.addresses import build_address
from scheduling.services.outbox import Letter, put_letter


def put_number_questions(site: SiteRecord, page: SessionPage, at: datetime) -> int:
    """Ask the liaisons of a session's classes for their numbers, once; return how many are new."""
    left = (page.on - at.astimezone(ZoneInfo(site.time_zone)).date()).days
    if not OVERDUE_DAYS < left <= ASK_DAYS:
        return 0
    asked = 0
    for visit in load_classes_coming(page.id, at=at):
        if visit.numbers is NumbersState.ASKED:
            group = SchoolGroup.objects.select_related("liaison").get(pk=visit.counts.group)
            letter = _build_question(site, visit, group)
            session = Session.objects.get(pk=page.id)
            asked += put_letter(letter, session=session, site_id=site.id, at=at)
    return asked


def _build_question(site: SiteRecord, visit: ClassVisit, group: SchoolGroup) -> Letter:
    page, counts = visit.session, visit.counts
    ages = listed(f"{count} of {age} years" for age, count in counts.pupils_by_age)
    helpers = f", {plural(counts.helpers, 'helper')}" if counts.helpers else ""
    path = reverse("class_numbers", args=[site.slug, group.code, page.season_code, page.code])
    return Letter(
        key=f"numbers/{page.id}/{group.pk}/{page.on}",
        kind=Message.Kind.NOTICE,
        to=group.liaison.email,
        subject=f"How many come? {group.name}, {weekday_words(page.on)}",
        text=(
            f"{page.title}, {weekday_words(page.on)}, {page.starts_at:%H:%M}\n\n"
            f"{group.name} is signed up with {plural(counts.pupils, 'pupil')} ({ages}), "
            f"{len(counts.staff)} staff{helpers}.\n\n"
            f"Is that still so? Confirm or correct it here:\n{build_address(path)}\n"
        ),
    )


def describe_unconfirmed(session_id: int, *, at: datetime) -> str:
    """Return a sentence on classes whose numbers nobody confirmed in time; empty for none."""
    names = [
        f"{visit.counts.name}, {visit.counts.school}"
        for visit in load_classes_coming(session_id, at=at)
        if visit.numbers is NumbersState.OVERDUE
    ]
    return f"Numbers not confirmed: {listed(names)}." if names else ""
