"""Writes the mail that is due by the clock: reminders, questions to schools, the morning's digest.

Each is keyed by its day and reader, so running this often writes it once.
"""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from orchard.queries.accounts import load_coordinator_addresses
from orchard.queries.sites import SiteRecord, load_sites
from scheduling.domain.wording import listed, plural, weekday_words
from scheduling.models import KeptReply, Message, Session, SignUp
from scheduling.queries.sessions import SessionPage, load_upcoming
from scheduling.queries.signups import load_attendance, load_readers
from scheduling.services.addresses import build_session_address
from scheduling.services.class_reminders import describe_unconfirmed, put_number_questions
from scheduling.services.outbox import Letter, build_stop_address, put_letter
from scheduling.services.waiting import settle_lines

REMIND_FROM = time(9)
"""Local time from which the next day's reminders are written: invented."""

DIGEST_FROM = time(6)
DIGEST_DAYS = 14
"""How far a digest looks ahead: invented."""


def put_due_mail(*, at: datetime) -> int:
    """Put every reminder and digest that is due in the outbox; return how many are new.

    Offers of spaces that nobody answered in time are passed on first.
    """
    settle_lines(at=at)
    written = 0
    for site in load_sites():
        local = at.astimezone(ZoneInfo(site.time_zone))
        coming = load_upcoming(site.id, at=at)
        if local.time() >= REMIND_FROM:
            tomorrow = local.date() + timedelta(days=1)
            written += sum(_remind(site, page, at) for page in coming if page.on == tomorrow)
            written += sum(put_number_questions(site, page, at) for page in coming)
        if local.time() >= DIGEST_FROM:
            written += _put_digest(site, coming, at)
    return written


def _remind(site: SiteRecord, page: SessionPage, at: datetime) -> int:
    written = 0
    session = Session.objects.get(pk=page.id)
    for reader in load_readers(page.id):
        text = (
            f"{page.title}, tomorrow, {weekday_words(page.on)}, "
            f"{page.starts_at:%H:%M} to {page.ends_at:%H:%M}\n"
            f"For {listed(reader.names)}\n\n"
            f"Meet at: {page.meeting_point}\n"
            + (f"Bring: {page.bring}\n" if page.bring else "")
            + f"\nWhoever cannot come withdraws here, so that another can:\n"
            f"{build_session_address(site.slug, page.season_code, page.code)}\n\n"
            f"No more reminders: {build_stop_address(site.slug, reader.address)}\n"
        )
        letter = Letter(
            key=f"reminder/{page.id}/{page.on}/{reader.address}",
            kind=Message.Kind.REMINDER,
            to=reader.address,
            subject=f"Tomorrow: {page.title}, {site.name}",
            text=text,
        )
        written += put_letter(letter, session=session, site_id=site.id, at=at)
    return written


def _put_digest(site: SiteRecord, coming: tuple[SessionPage, ...], at: datetime) -> int:
    """Put the morning's digest in the outbox, unless there is nothing to tell."""
    today = at.astimezone(ZoneInfo(site.time_zone)).date()
    last = today + timedelta(days=DIGEST_DAYS)
    paragraphs = [
        *(_of_session(page, at) for page in coming if page.on <= last),
        *_of_yesterday(site.id, at),
    ]
    if not paragraphs:
        return 0
    written = 0
    for address in load_coordinator_addresses(site.id):
        stop = f"No more digests and reminders: {build_stop_address(site.slug, address)}"
        letter = Letter(
            key=f"digest/{site.id}/{today}/{address}",
            kind=Message.Kind.DIGEST,
            to=address,
            subject=f"{site.name}: {weekday_words(today)}",
            text="\n\n".join([*paragraphs, stop]) + "\n",
        )
        written += put_letter(letter, session=None, site_id=site.id, at=at)
    return written


def _of_session(page: SessionPage, at: datetime) -> str:
    there = load_attendance(page.id)
    leads = sum(1 for person in there.people if "lead" in person.skills)
    aiders = sum(1 for person in there.people if "first_aid" in person.skills)
    return (
        f"{weekday_words(page.on)}: {page.title}. {there.total} of {page.capacity} spaces taken, "
        f"{plural(leads, 'crew lead')}, {plural(aiders, 'first aider')}; {page.state_words}. "
        f"{describe_unconfirmed(page.id, at=at)}"
    ).strip()


def _of_yesterday(site_id: int, at: datetime) -> list[str]:
    since = at - timedelta(days=1)
    lines = []
    gone = (
        SignUp.objects.filter(
            session__season__site_id=site_id,
            session__starts_at__gt=at,
            state=SignUp.State.WITHDRAWN,
            at__gt=since,
        )
        .select_related("session", "person", "group")
        .order_by("session__starts_at", "at", "pk")
    )
    if rows := [f"{row.person or row.group} from {row.session.code}" for row in gone]:
        lines.append(f"Withdrawn since yesterday: {listed(rows)}.")
    doubted = KeptReply.objects.filter(
        site_id=site_id, read_at__gt=since, outcome=KeptReply.Outcome.REFUSED
    ).count()
    if doubted:
        lines.append(
            f"{plural(doubted, 'calendar answer')} not acted on: see the page “Mail” for why."
        )
    lost = Message.objects.filter(site_id=site_id, given_up=True).count()
    if lost:
        lines.append(f"{plural(lost, 'message')} could not be sent: see the page “Mail”.")
    return lines
