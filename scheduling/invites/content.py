"""What each invite says, before it becomes a file.

For turning a published roster into one invite per person, and one per class
and address. Not for the calendar format (`encode`), nor for deciding who must
be told again: compare `build_fingerprint` with the one kept, then pass the new
sequence numbers in. Front doors: `build_invites`, `find_unreachable`,
`build_session_invite`.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from urllib.parse import quote
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from scheduling.domain.people import PersonId
from scheduling.domain.published import PublishedRoster, RosterPerson, SessionFacts, SiteFacts
from scheduling.invites.program import build_class_program, build_person_program, given_name
from scheduling.invites.text import InviteError, is_address, plain_line, plain_text

# Drawn once at random for this project. Changing it would orphan every invite sent.
UID_NAMESPACE = UUID("604e4d91-99e2-4a92-92b8-5a5d8cf119ba")
EVENING = time(18)  # invented default: when the reminder of the evening before sounds
SHORTLY_BEFORE = timedelta(hours=2)

REQUEST = "REQUEST"
CANCEL = "CANCEL"
PUBLISH = "PUBLISH"


@dataclass(frozen=True, slots=True)
class Reminder:
    """One alarm: how long before the start, as exact elapsed time, and what it says."""

    before: timedelta
    text: str


@dataclass(frozen=True, slots=True)
class Invite:
    """One calendar entry for one reader.

    `starts_at` and `ends_at` are aware, in `time_zone`. `latitude` and
    `longitude` are decimal degrees (WGS 84) of the entrance. The attendee is
    empty only when `method` is PUBLISH.
    """

    uid: str
    method: str
    sequence: int
    summary: str
    starts_at: datetime
    ends_at: datetime
    time_zone: str
    location: str
    latitude: float
    longitude: float
    description: str
    organizer_name: str
    organizer_email: str
    attendee_name: str
    attendee_email: str
    url: str
    alarms: tuple[Reminder, ...]


@dataclass(frozen=True, slots=True)
class FeedEntry:
    """One session in a feed; cancelled ones are shown as such for a while."""

    invite: Invite
    is_cancelled: bool = False


@dataclass(frozen=True, slots=True)
class Feed:
    """Sessions to subscribe to. `uid` names the feed, the same at every reading."""

    uid: str
    name: str
    entries: tuple[FeedEntry, ...]


def build_feed_entry(
    site: SiteFacts,
    session: SessionFacts,
    *,
    who: tuple[str, ...],
    is_cancelled: bool,
    base_url: str = "",
) -> FeedEntry:
    """Return a session as an entry of a feed.

    Args:
        site: The site.
        session: The session.
        who: Given names of the reader's own people who are signed up; no one else's.
        is_cancelled: Whether it is called off.
        base_url: Address of the site's pages, or empty.

    Raises:
        InviteError: As for `build_session_invite`.
    """
    invite = build_session_invite(site, session, base_url=base_url)
    names = ", ".join(plain_line(name) for name in who)
    summary = f"{invite.summary}: {names}" if names else invite.summary
    if is_cancelled:
        summary = f"Called off: {summary}"
    return FeedEntry(replace(invite, summary=summary, alarms=()), is_cancelled)


def build_invites(
    roster: PublishedRoster, *, sequence: Mapping[PersonId, int], base_url: str = ""
) -> tuple[Invite, ...]:
    """Return one invite per person, and one per class and address for a class's pupils.

    A young person's invite goes to the address the roster gives, the guardian's
    as a rule, and names them in its title. People without a usable address get
    none: `find_unreachable` lists them.

    Args:
        roster: The published roster.
        sequence: The SEQUENCE each person's invite is to carry; 0 where none is
            given. A class carries the highest of its pupils'.
        base_url: Address of the site's pages, such as "https://orchard.example";
            empty leaves the link out.

    Returns:
        Invites in the order of the people's ids, classes at the place of their first pupil.

    Raises:
        InviteError: If the site's time zone is unknown or a session ends before it starts.
    """
    frame = build_session_invite(roster.site, roster.session, base_url=base_url)
    reachable = [person for person in _by_id(roster.people) if is_address(person.mail_to)]
    pupils: dict[tuple[str, str], list[RosterPerson]] = {}
    for person in reachable:
        if _is_pupil(person):
            pupils.setdefault((person.group_name, person.mail_to), []).append(person)
    invites: list[Invite] = []
    parts_of_class: set[str] = set()
    for person in reachable:
        part = pupils.get((person.group_name, person.mail_to), []) if _is_pupil(person) else []
        if not part:
            invites.append(_person_invite(frame, roster, person, sequence.get(person.id, 0)))
        elif person is part[0]:
            # Only a class that writes to several addresses needs to tell its parts apart.
            mark = f"/{person.id}" if person.group_name in parts_of_class else ""
            parts_of_class.add(person.group_name)
            highest = max(sequence.get(pupil.id, 0) for pupil in part)
            invites.append(_class_invite(frame, roster, part, mark, highest))
    return tuple(invites)


def find_unreachable(roster: PublishedRoster) -> tuple[RosterPerson, ...]:
    """Return the people who get no invite, because no usable address is known, by id."""
    return tuple(person for person in _by_id(roster.people) if not is_address(person.mail_to))


def build_session_invite(
    site: SiteFacts, session: SessionFacts, *, sequence: int = 0, base_url: str = ""
) -> Invite:
    """Return the session as an entry for anybody's calendar: no attendee, no names.

    Args:
        site: The site.
        session: The session; its times are brought into the site's zone.
        sequence: The SEQUENCE to carry, 0 for the first publication.
        base_url: Address of the site's pages, or empty.

    Raises:
        InviteError: If the time zone is unknown or the session does not end after it starts.
    """
    zone = _get_zone(site)
    # By way of UTC, so that a time the change of clocks skips becomes the one it stands for.
    starts_at = session.starts_at.astimezone(UTC).astimezone(zone)
    ends_at = session.ends_at.astimezone(UTC).astimezone(zone)
    if ends_at.astimezone(UTC) <= starts_at.astimezone(UTC):
        raise InviteError(
            f"Session {session.code} ends at {ends_at:%H:%M} on {ends_at:%Y-%m-%d}, which is not "
            "after its start. Put its times right before inviting anyone."
        )
    page = build_page_address(base_url, session.season, session.code) if base_url else ""
    place = site.emergency
    parts = (site.name, site.town, place.entrance)
    return Invite(
        uid=_uid(site.code, session.season, session.code, "session"),
        method=PUBLISH,
        sequence=sequence,
        summary=plain_line(f"{session.title}, {site.name}"),
        starts_at=starts_at,
        ends_at=ends_at,
        time_zone=site.time_zone,
        location=", ".join(plain_line(part) for part in parts if part.strip()),
        latitude=place.latitude,
        longitude=place.longitude,
        description=_describe(site, session, ()),
        organizer_name=plain_line(site.organiser_name),
        organizer_email=site.organiser_email,
        attendee_name="",
        attendee_email="",
        url=page,
        alarms=_reminders(session, starts_at),
    )


def build_person_uid(site_code: str, season: str, session: str, person: PersonId) -> str:
    """Return the UID of one person's invite to a session, from codes, the same at every change."""
    return _uid(site_code, season, session, f"person/{person}")


def build_class_uid(site_code: str, season: str, session: str, group_name: str) -> str:
    """Return the UID of the first invite that a class gets to a session, from codes."""
    return _uid(site_code, season, session, f"class/{group_name}")


def build_page_address(base_url: str, season: str, session: str) -> str:
    """Return the address of a session's page below that of its site."""
    in_season = f"/seasons/{quote(season, safe='')}" if season else ""
    return f"{base_url.rstrip('/')}{in_season}/sessions/{quote(session, safe='')}/"


def withdraw_invite(invite: Invite) -> Invite:
    """Return the withdrawal of an invite: same UID, SEQUENCE one higher, no alarms.

    A withdrawal is returned as it is, so that withdrawing twice counts once.

    Source:
        RFC 5546 section 3.2.5: CANCEL carries the UID and an incremented SEQUENCE.
    """
    if invite.method == CANCEL:
        return invite
    return replace(invite, method=CANCEL, sequence=invite.sequence + 1, alarms=())


def build_fingerprint(invite: Invite) -> str:
    """Return a hash of all that the reader sees, so that unchanged invites are not sent again.

    SEQUENCE is left out: it follows from a change and is none itself.
    """
    return hashlib.sha256(repr(replace(invite, sequence=0)).encode()).hexdigest()


def _person_invite(
    frame: Invite, roster: PublishedRoster, person: RosterPerson, sequence: int
) -> Invite:
    about = f"{frame.summary}: for {given_name(person)}" if person.is_young else frame.summary
    return replace(
        frame,
        uid=build_person_uid(
            roster.site.code, roster.session.season, roster.session.code, person.id
        ),
        method=REQUEST,
        sequence=sequence,
        summary=about,
        description=_describe(roster.site, roster.session, build_person_program(roster, person)),
        attendee_name=plain_line(person.mail_name or person.name),
        attendee_email=person.mail_to,
    )


def _class_invite(
    frame: Invite, roster: PublishedRoster, pupils: list[RosterPerson], mark: str, sequence: int
) -> Invite:
    group = plain_line(pupils[0].group_name)
    site, session = roster.site, roster.session
    what = f"class/{pupils[0].group_name}{mark}"
    return replace(
        frame,
        uid=_uid(site.code, session.season, session.code, what),
        method=REQUEST,
        sequence=sequence,
        summary=f"{frame.summary}: for {group}",
        description=_describe(roster.site, roster.session, build_class_program(roster, pupils)),
        attendee_name=plain_line(pupils[0].mail_name) or group,
        attendee_email=pupils[0].mail_to,
    )


def _describe(site: SiteFacts, session: SessionFacts, program: tuple[str, ...]) -> str:
    facts = (
        plain_text(session.purpose),
        *program,
        f"Meeting point: {plain_line(session.meeting_point)}",
        f"Bring: {plain_line(session.bring)}" if session.bring.strip() else "",
        "On the day, turn to the session lead at the meeting point.",
        f"Before the day, write to {plain_line(site.organiser_name)}, {site.organiser_email}.",
    )
    return "\n".join(line for line in facts if line)


def _reminders(session: SessionFacts, starts_at: datetime) -> tuple[Reminder, ...]:
    evening = datetime.combine(
        starts_at.date() - timedelta(days=1), EVENING, tzinfo=starts_at.tzinfo
    )
    before = starts_at.astimezone(UTC) - evening.astimezone(UTC)
    title = plain_line(session.title)
    bring = plain_line(session.bring)
    return (
        Reminder(before, f"Tomorrow: {title}" + (f". Bring: {bring}" if bring else "")),
        Reminder(SHORTLY_BEFORE, f"In two hours: {title}"),
    )


def _get_zone(site: SiteFacts) -> ZoneInfo:
    try:
        return ZoneInfo(site.time_zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InviteError(
            f"“{plain_line(site.time_zone)}” is not a time zone of the tz database. Give "
            f"{plain_line(site.name)} one such as “Europe/Dublin”."
        ) from None


def _uid(site_code: str, season: str, session: str, what: str) -> str:
    # Parts are length-marked so that no two rows of codes can run together into one.
    parts = (site_code, season, session, what)
    return f"{uuid5(UID_NAMESPACE, ''.join(f'{len(part)}:{part}' for part in parts))}"


def _is_pupil(person: RosterPerson) -> bool:
    return person.is_young and bool(person.group_name)


def _by_id(people: Iterable[RosterPerson]) -> list[RosterPerson]:
    return sorted(people, key=lambda person: person.id)
