"""Opens and revokes the secret addresses under which calendars subscribe, and serves them."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from secrets import token_urlsafe

from django.db import IntegrityError, transaction
from django.urls import reverse

from scheduling.invites.encode import encode_feed
from scheduling.models import CalendarFeed, SchoolGroup
from scheduling.queries.feeds import find_season_feed, load_feed
from scheduling.services.addresses import build_address, build_site_address

SECRET_OCTETS = 32


@dataclass(frozen=True, slots=True)
class ServedFeed:
    """A feed's file, a tag that changes with what it says, and when that last changed."""

    content: bytes
    etag: str
    changed_at: datetime


def open_feed(
    *, site_id: int, at: datetime, user_id: int | None = None, group_id: int | None = None
) -> str:
    """Give an account, a class or the site (neither) a secret address; one that is open stays.

    Returns:
        The secret part of the address.

    Raises:
        SchoolGroup.DoesNotExist: If the class is not of the site.
    """
    if group_id is not None:
        SchoolGroup.objects.get(pk=group_id, site_id=site_id)
    of = {"site_id": site_id, "user_id": user_id, "group_id": group_id}
    known = CalendarFeed.objects.filter(**of, revoked_at__isnull=True)
    if row := known.first():
        return row.secret
    try:
        with transaction.atomic():
            row = CalendarFeed.objects.create(**of, secret=token_urlsafe(SECRET_OCTETS), made_at=at)
    except IntegrityError:  # opened by another press in the meantime
        row = known.get()
    return row.secret


def revoke_feed(*, feed_id: int, at: datetime) -> None:
    """End an address at once; ending it twice is once."""
    CalendarFeed.objects.filter(pk=feed_id, revoked_at__isnull=True).update(revoked_at=at)


def build_feed_address(slug: str, secret: str) -> str:
    """Return the whole address a calendar is given."""
    return build_address(reverse("feed_file", args=[slug, secret]))


def serve_feed(feed_id: int, *, at: datetime) -> ServedFeed:
    """Return what a feed says now; the moment it last changed is kept with it.

    Raises:
        InviteError: If a session cannot be put into a calendar file.
    """
    row = CalendarFeed.objects.select_related("site").get(pk=feed_id)
    feed = load_feed(feed_id, at=at, base_url=build_site_address(row.site.slug))
    source = build_feed_address(row.site.slug, row.secret)
    said = sha256(repr((feed, source)).encode()).hexdigest()
    changed_at = row.changed_at
    if said != row.fingerprint or changed_at is None:
        changed_at = at.replace(microsecond=0)
        CalendarFeed.objects.filter(pk=feed_id).update(fingerprint=said, changed_at=changed_at)
    return ServedFeed(
        content=encode_feed(feed, changed_at=changed_at, source=source),
        etag=f'"{said[:32]}"',
        changed_at=changed_at,
    )


def build_season_file(site_id: int, slug: str, season: str, *, at: datetime) -> bytes | None:
    """Return a season's sessions as one calendar file to download, or None without the season."""
    base = build_site_address(slug)
    feed = find_season_feed(site_id=site_id, season_code=season, base_url=base)
    if feed is None:
        return None
    source = build_address(reverse("season_calendar", args=[slug, season]))
    return encode_feed(feed, changed_at=at, source=source)
