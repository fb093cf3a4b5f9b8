"""Starting an empty site: its outline, its peg, its coordinator and the usual rates."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo, available_timezones

from django.db import transaction

from orchard.domain.errors import PlannerError
from orchard.domain.geometry import build_polygon
from orchard.domain.place import Outline
from orchard.domain.rates import build_default_rates
from orchard.domain.units import System
from orchard.models import Role, Site, User
from orchard.services.rates import keep_rates
from orchard.services.roles import grant_role

USUAL_RATES = "usual rates, to be replaced by the site's own records"
# First parts of addresses that are not sites.
TAKEN_SLUGS = frozenset({"account", "admin", "sites", "static", "media"})


class SiteRefused(PlannerError):
    """A site that cannot be started."""

    code = "sites.refused"


@dataclass(frozen=True, slots=True)
class NewSite:
    """What is asked of a site at its start."""

    slug: str
    name: str
    town: str
    time_zone: str
    units: System
    peg_latitude: float
    peg_longitude: float
    outline: Outline
    entrance: str
    emergency_number: str
    nearest_emergency_department: str
    muster_point: str
    shelter: str
    organiser_name: str


@transaction.atomic
def start_site(*, new: NewSite, by: int, at: datetime) -> int:
    """Make a site without areas and trees, coordinated by the account; return its id.

    Args:
        new: What is known of it.
        by: The account that becomes its coordinator.
        at: The moment, aware.

    Raises:
        SiteRefused: If the short name is taken or the time zone unknown.
        GroundError: If the outline is none.
    """
    if new.slug in TAKEN_SLUGS or Site.objects.filter(slug=new.slug).exists():
        raise SiteRefused(f"The short name “{new.slug}” is taken. Choose another.")
    if new.time_zone not in available_timezones():
        raise SiteRefused(f"“{new.time_zone}” is no time zone. Write one as Europe/Paris.")
    build_polygon(new.outline, "the site")
    fields = {name: getattr(new, name) for name in NewSite.__dataclass_fields__}
    fields |= {
        "units": new.units.value,
        "outline": [list(corner) for corner in new.outline],
        "organiser_email": User.objects.values_list("email", flat=True).get(pk=by),
        "consent_version": "1",
    }
    site = Site.objects.create(**fields)
    grant_role(user_id=by, site_id=site.pk, kind=Role.Kind.COORDINATOR, at=at)
    _add_usual_rates(site, at)
    return site.pk


def _add_usual_rates(site: Site, at: datetime) -> None:
    table = build_default_rates(at.astimezone(ZoneInfo(site.time_zone)).date())
    keep_rates(site_id=site.pk, table=table, note=USUAL_RATES)


def set_consent_version(*, site_id: int, version: str, instead_of: str) -> bool:
    """Name the consent form used from now on; say no if another is in use than was thought."""
    rows = Site.objects.filter(pk=site_id, consent_version=instead_of)
    return rows.update(consent_version=version) == 1
