"""Tells people and schools in the line of a space offered to them, and of one passed on.

Not for deciding who is offered one: `waiting` does.
"""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.urls import reverse

from scheduling.domain.wording import day_words, listed, weekday_words
from scheduling.models import Message, Session, SignUp
from scheduling.queries.rosters import load_site_facts
from scheduling.queries.session_rows import day_of
from scheduling.queries.signups import find_reader
from scheduling.services.addresses import build_address, build_session_address
from scheduling.services.outbox import Letter, put_letter


def tell_offer(session: Session, party: list[SignUp], until: datetime, at: datetime) -> None:
    """Write to whoever answers for those who are offered a space, until when it is kept."""
    names: dict[str, list[str]] = {}
    for row in party:
        address, name = find_reader(row, day_of(session))
        names.setdefault(address, []).append(name)
    site = load_site_facts(session)
    local = until.astimezone(ZoneInfo(site.time_zone))
    for address, who in sorted(names.items()):
        if not address:
            continue
        letter = Letter(
            key=f"offer/{session.pk}/{address}/{until.isoformat()}/{party[0].pk}",
            kind=Message.Kind.NOTICE,
            to=address,
            subject=f"A space is free: {session.title}, {site.name}",
            text=(
                f"{session.title}, {weekday_words(day_of(session))}\n\nThere is space for "
                f"{listed(who)} now. It is kept until {weekday_words(local)}, {local:%H:%M}; then "
                f"it goes to the next in line. Answer here:\n{_page(session, party[0])}\n"
            ),
        )
        put_letter(letter, session=session, site_id=session.season.site_id, at=at)


def tell_lapsed(session: Session, row: SignUp, at: datetime) -> None:
    """Write that nobody answered an offer in time, and the way back."""
    address, name = find_reader(row, day_of(session))
    if not address or row.offer_until is None:
        return
    letter = Letter(
        key=f"lapsed/{row.pk}/{row.offer_until.isoformat()}",
        kind=Message.Kind.NOTICE,
        to=address,
        subject=f"The space was passed on: {session.title}",
        text=(
            f"{session.title}, {weekday_words(day_of(session))}\n\nNobody answered for {name} in "
            f"time, so the space went to the next in line on {day_words(at)}. Whoever still "
            f"wants to come signs up again:\n{_page(session, row)}\n"
        ),
    )
    put_letter(letter, session=session, site_id=session.season.site_id, at=at)


def _page(session: Session, row: SignUp) -> str:
    season = session.season
    if row.group_id is not None:
        return build_address(reverse("group_list", args=[season.site.slug]))
    return build_session_address(season.site.slug, season.code, session.code)
