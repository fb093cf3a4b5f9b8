"""Sites by their short names, and what is printed about them. Their ground is in `place`."""

from dataclasses import dataclass

from orchard.domain.errors import PlannerError
from orchard.models import Area, Site


class UnknownSite(PlannerError):
    """A site that is not in the database."""

    code = "sites.unknown"


@dataclass(frozen=True, slots=True)
class SiteRecord:
    """A site as kept, without its ground."""

    id: int
    slug: str
    name: str
    town: str
    time_zone: str
    peg_latitude: float
    peg_longitude: float
    entrance: str
    emergency_number: str
    nearest_emergency_department: str
    muster_point: str
    shelter: str
    shelter_kind: str
    toilets: int | None
    hand_washes: int | None
    organiser_name: str
    organiser_email: str
    consent_version: str


def load_area_ids(site_id: int) -> dict[str, int]:
    """Return the numbers of a site's areas by their codes."""
    return dict(Area.objects.filter(site_id=site_id).values_list("code", "pk"))


def find_site_id(slug: str) -> int | None:
    """Return the id of the site with this short name, or None."""
    return Site.objects.filter(slug=slug).values_list("pk", flat=True).first()


def get_site_facts(site_id: int) -> SiteRecord:
    """Return a site's name, zone, emergency facts, organiser and consent form version.

    Raises:
        UnknownSite: If there is no such site.
    """
    row = Site.objects.filter(pk=site_id).values(*SiteRecord.__dataclass_fields__).first()
    if row is None:
        raise UnknownSite(f"There is no site number {site_id}. Load a season first.")
    return SiteRecord(**row)


def load_sites() -> tuple[SiteRecord, ...]:
    """Return every site, in order of short name."""
    rows = Site.objects.order_by("slug").values(*SiteRecord.__dataclass_fields__)
    return tuple(SiteRecord(**row) for row in rows)
