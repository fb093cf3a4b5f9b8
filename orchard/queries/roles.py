"""Reads who may do what where. Not for deciding: `permissions` does that."""

from collections.abc import Iterable
from dataclasses import dataclass

from orchard.domain.units import System
from orchard.models import Role


@dataclass(frozen=True, slots=True)
class Standing:
    """What one account is on one site today."""

    user_id: int
    site_id: int
    slug: str
    site_name: str
    town: str
    time_zone: str
    kinds: tuple[str, ...]
    system: System = System.METRIC  # the account's own units, else the site's

    @property
    def is_coordinator(self) -> bool:
        """Whether the account coordinates the site."""
        return Role.Kind.COORDINATOR in self.kinds

    @property
    def is_session_lead(self) -> bool:
        """Whether the account leads sessions on the site."""
        return Role.Kind.SESSION_LEAD in self.kinds

    @property
    def is_volunteer(self) -> bool:
        """Whether the account comes to sessions itself."""
        return Role.Kind.VOLUNTEER in self.kinds

    @property
    def is_guardian(self) -> bool:
        """Whether the account answers for young people."""
        return Role.Kind.GUARDIAN in self.kinds

    @property
    def is_liaison(self) -> bool:
        """Whether the account brings school classes."""
        return Role.Kind.LIAISON in self.kinds

    @property
    def is_reader(self) -> bool:
        """Whether the account may read the site's totals."""
        return Role.Kind.READER in self.kinds

    @property
    def takes_part(self) -> bool:
        """Whether the account is more than a reader: it has to do with sessions and people."""
        return any(kind != Role.Kind.READER for kind in self.kinds)

    @property
    def comes_to_sessions(self) -> bool:
        """Whether the account may sign anybody of its own up."""
        return self.is_volunteer or self.is_guardian or self.is_session_lead


def load_standings(user_id: int) -> tuple[Standing, ...]:
    """Return what an account is on each of its sites, sites in order of name."""
    return _gather(_held(user_id))


def find_standing(*, user_id: int, slug: str) -> Standing | None:
    """Return what an account is on one site, or None if it is nothing there."""
    found = _gather(role for role in _held(user_id) if role.site.slug == slug)
    return found[0] if found else None


def load_site_leads(site_id: int) -> tuple[int, ...]:
    """Return the accounts that may lead a session: session leads first, then coordinators."""
    rows = Role.objects.filter(site_id=site_id, ended_at__isnull=True)
    leads = rows.filter(kind=Role.Kind.SESSION_LEAD).order_by("user_id")
    coordinators = rows.filter(kind=Role.Kind.COORDINATOR).order_by("user_id")
    return tuple(dict.fromkeys(role.user_id for role in (*leads, *coordinators)))


def _held(user_id: int) -> Iterable[Role]:
    return (
        Role.objects.filter(user_id=user_id, ended_at__isnull=True)
        .select_related("site", "user")
        .order_by("site__name", "site_id", "kind")
    )


def _gather(roles: Iterable[Role]) -> tuple[Standing, ...]:
    kinds: dict[int, list[Role]] = {}
    for role in roles:
        kinds.setdefault(role.site_id, []).append(role)
    return tuple(
        Standing(
            user_id=held[0].user_id,
            site_id=held[0].site_id,
            slug=held[0].site.slug,
            site_name=held[0].site.name,
            town=held[0].site.town,
            time_zone=held[0].site.time_zone,
            kinds=tuple(role.kind for role in held),
            system=System(held[0].user.units or held[0].site.units),
        )
        for held in kinds.values()
    )
