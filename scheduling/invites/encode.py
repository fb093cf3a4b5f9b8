"""Invites as iCalendar bytes.

For writing what `content` built as a file that mail programs and calendars
read (RFC 5545, RFC 5546). Not for mail itself: the service attaches the bytes.
The same invite and stamp always give the same bytes. Front doors:
`encode_invite`, `encode_cancel`, `encode_session_file`, `encode_feed`.
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, vCalAddress, vDuration, vUri
from icalendar.enums import CLASS, CUTYPE, PARTSTAT, ROLE, STATUS, TRANSP

from scheduling.domain.published import SessionFacts, SiteFacts
from scheduling.invites.content import (
    CANCEL,
    PUBLISH,
    REQUEST,
    Feed,
    Invite,
    build_session_invite,
    withdraw_invite,
)
from scheduling.invites.text import InviteError, mailto, plain_line, plain_text
from scheduling.invites.zones import build_timezone

PRODUCT = "-//Orchard stewardship days//Planner 1//EN"
ZONE_YEARS_BEFORE = 1
ZONE_YEARS_AFTER = 5
REFRESH = timedelta(hours=6)  # invented: a hint, as calendars look again when they like


def encode_invite(invite: Invite, *, stamp: datetime) -> bytes:
    """Return an invitation as a METHOD:REQUEST file.

    Args:
        invite: The invite, with its attendee.
        stamp: When this version was made, aware; newer at every sending.

    Raises:
        InviteError: If the stamp has no zone, the position is no place on earth, or
            an address is unusable.

    Source:
        RFC 5545; RFC 5546 section 3.2.2 (REQUEST).
    """
    if invite.method != REQUEST:
        raise InviteError(
            f"An invite with method {invite.method} cannot be sent as an invitation. "
            "Build it with build_invites, or use the function for its method."
        )
    event = _event(invite, stamp, STATUS.CONFIRMED)
    event.add("attendee", _attendee(invite, rsvp=True))
    _add_alarms(event, invite)
    return _file(REQUEST, event, invite)


def encode_cancel(invite: Invite, *, stamp: datetime) -> bytes:
    """Return the withdrawal of an invite as a METHOD:CANCEL file.

    The SEQUENCE written is that of `withdraw_invite`: one above the invitation handed in.

    Args:
        invite: The last invitation sent, or its withdrawal.
        stamp: When the withdrawal was made, aware.

    Raises:
        InviteError: As for `encode_invite`.

    Source:
        RFC 5546 section 3.2.5 (CANCEL): no alarms, STATUS:CANCELLED for the whole event.
    """
    withdrawn = withdraw_invite(invite)
    event = _event(withdrawn, stamp, STATUS.CANCELLED)
    event.add("attendee", _attendee(withdrawn, rsvp=False))
    return _file(CANCEL, event, withdrawn)


def encode_session_file(
    site: SiteFacts,
    session: SessionFacts,
    *,
    stamp: datetime,
    sequence: int = 0,
    base_url: str = "",
) -> bytes:
    """Return a session as a METHOD:PUBLISH file for “add to calendar”: no attendee, no names.

    Args:
        site: The site.
        session: The session.
        stamp: When this version was made, aware.
        sequence: Raised by one at every change of time or place, from 0.
        base_url: Address of the site's pages, or empty.

    Raises:
        InviteError: If times, zone, position or the organiser's address cannot be used.

    Source:
        RFC 5546 section 3.2.1 (PUBLISH): an organiser, no attendee.
    """
    invite = build_session_invite(site, session, sequence=sequence, base_url=base_url)
    event = _event(invite, stamp, STATUS.CONFIRMED)
    _add_alarms(event, invite)
    return _file(PUBLISH, event, invite)


def encode_feed(feed: Feed, *, changed_at: datetime, source: str) -> bytes:
    """Return a feed as a file to subscribe to: no method, no attendees, no alarms.

    Args:
        feed: Its name and entries.
        changed_at: When what it says last changed, aware.
        source: The address it is served under.

    Raises:
        InviteError: As for `encode_session_file`.

    Source:
        RFC 7986 sections 5.1 (NAME), 5.7 (REFRESH-INTERVAL, whose VALUE=DURATION is
        required), 5.8 (SOURCE); RFC 5545 section 3.8.1.11 (STATUS of a cancelled event).
    """
    calendar = Calendar.new(prodid=PRODUCT, uid=feed.uid, name=plain_line(feed.name))
    calendar.add("LAST-MODIFIED", changed_at.astimezone(UTC).replace(microsecond=0))
    calendar.add("SOURCE", vUri(source), parameters={"VALUE": "URI"})
    calendar.add("REFRESH-INTERVAL", vDuration(REFRESH), parameters={"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", vDuration(REFRESH))
    for entry in feed.entries:
        status = STATUS.CANCELLED if entry.is_cancelled else STATUS.CONFIRMED
        event = _event(entry.invite, changed_at, status)
        event.add("LAST-MODIFIED", changed_at.astimezone(UTC).replace(microsecond=0))
        calendar.add_component(event)
    years = [entry.invite.starts_at.year for entry in feed.entries]
    return _with_zones(calendar, years)


def _event(invite: Invite, stamp: datetime, status: STATUS) -> Event:
    if stamp.tzinfo is None:
        raise InviteError("The stamp of an invite needs a time zone; hand in an aware time.")
    private = CLASS.PUBLIC if invite.method == PUBLISH else CLASS.PRIVATE
    event = Event.new(
        uid=invite.uid,
        stamp=stamp.astimezone(UTC).replace(microsecond=0),
        sequence=invite.sequence,
        start=_written(invite.starts_at),
        end=_written(invite.ends_at),
        summary=plain_line(invite.summary),
        description=plain_text(invite.description),
        location=plain_line(invite.location),
        status=status,
        classification=private,
        transparency=TRANSP.OPAQUE,
        url=invite.url or None,
        organizer=_organizer(invite),
    )
    event.add("geo", _position(invite))
    return event


def _written(at: datetime) -> datetime:
    """Return the time as it can be written without doubt.

    A local time that occurs twice means its first occurrence (RFC 5545 section
    3.3.5), so the second can only be written in UTC.
    """
    whole = at.replace(microsecond=0)
    first = whole.replace(fold=0)
    return whole if first.utcoffset() == whole.utcoffset() else whole.astimezone(UTC)


def _position(invite: Invite) -> tuple[float, float]:
    if not (abs(invite.latitude) <= 90 and abs(invite.longitude) <= 180):
        raise InviteError(
            f"The entrance lies at latitude {invite.latitude}, longitude {invite.longitude}; "
            "degrees run to 90 and 180. Correct the site's emergency facts."
        )
    return (_degrees(invite.latitude), _degrees(invite.longitude))


def _degrees(value: float) -> float:
    # Below 0.0001 Python would write an exponent, which RFC 5545's FLOAT does not know.
    return round(value, 6) if abs(value) >= 0.0001 else round(value, 4) + 0.0


def _organizer(invite: Invite) -> vCalAddress:
    address = vCalAddress(mailto(invite.organizer_email))
    if name := plain_line(invite.organizer_name):
        address.params["CN"] = name
    return address


def _attendee(invite: Invite, *, rsvp: bool) -> vCalAddress:
    address = vCalAddress(mailto(invite.attendee_email))
    if name := plain_line(invite.attendee_name):
        address.params["CN"] = name
    address.params["CUTYPE"] = CUTYPE.INDIVIDUAL
    address.params["ROLE"] = ROLE.REQ_PARTICIPANT
    if rsvp:
        address.params["PARTSTAT"] = PARTSTAT.NEEDS_ACTION
        address.params["RSVP"] = "TRUE"
    return address


def _add_alarms(event: Event, invite: Invite) -> None:
    for reminder in sorted(invite.alarms, key=lambda each: each.before, reverse=True):
        text = plain_line(reminder.text)
        event.add_component(Alarm.new_display(description=text, trigger=-reminder.before))


def _file(method: str, event: Event, invite: Invite) -> bytes:
    calendar = Calendar.new(prodid=PRODUCT, method=method)
    # The library draws a random UID for the file; an invite needs none (RFC 7986 section 5.3).
    calendar.pop("UID")
    calendar.add_component(event)
    return _with_zones(calendar, [invite.starts_at.year])


def _with_zones(calendar: Calendar, years: list[int]) -> bytes:
    for tzid in sorted(calendar.get_used_tzids()):
        first, last = min(years) - ZONE_YEARS_BEFORE, max(years) + ZONE_YEARS_AFTER
        zone = build_timezone(ZoneInfo(tzid), first, last)
        calendar.subcomponents.insert(0, zone)
    written: bytes = calendar.to_ical()
    return written
