"""Reads who may do what where. Not for deciding: `permissions` does that."""

from dataclasses import dataclass

from orchard.domain.units import System
from orchard.models import Role
from orchard.queries.written import WrittenQuery


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
    return _gather(user_id)


def find_standing(*, user_id: int, slug: str) -> Standing | None:
    """Return what an account is on one site, or None if it is nothing there."""
    return next((each for each in _gather(user_id) if each.slug == slug), None)


def load_site_leads(site_id: int) -> tuple[int, ...]:
    """Return the accounts that may lead a session: session leads first, then coordinators."""
    rows = Role.objects.filter(site_id=site_id, ended_at__isnull=True)
    leads = rows.filter(kind=Role.Kind.SESSION_LEAD).order_by("user_id")
    coordinators = rows.filter(kind=Role.Kind.COORDINATOR).order_by("user_id")
    return tuple(dict.fromkeys(role.user_id for role in (*leads, *coordinators)))


_HELD = WrittenQuery(
    lambda user_id: (
        Role.objects.filter(user_id=user_id, ended_at__isnull=True)
        .order_by("site__name", "site_id", "kind")
        .values_list(
            "site_id",
            "site__slug",
            "site__name",
            "site__town",
            "site__time_zone",
            "user__units",
            "site__units",
            "kind",
        )
    )
)


def _gather(user_id: int) -> tuple[Standing, ...]:
    kinds: dict[int, list[str]] = {}
    sites: dict[int, Standing] = {}
    for site_id, slug, name, town, time_zone, own_units, units, kind in _HELD.ask(user_id):
        kinds.setdefault(site_id, []).append(kind)
        sites[site_id] = Standing(
            user_id=user_id,
            site_id=site_id,
            slug=slug,
            site_name=name,
            town=town,
            time_zone=time_zone,
            kinds=tuple(kinds[site_id]),
            system=System(own_units or units),
        )
    return tuple(sites.values())
