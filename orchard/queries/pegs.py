"""Reads the marks on the ground that positions are measured from."""

from orchard.domain.coordinates import LocalPlane
from orchard.domain.place import Point
from orchard.models import Peg, Site


def load_plane(site_id: int) -> LocalPlane:
    """Return the metre plane about the site's own peg."""
    site = Site.objects.only("peg_latitude", "peg_longitude").get(pk=site_id)
    return LocalPlane(site.peg_latitude, site.peg_longitude)


def load_pegs(site_id: int) -> dict[str, Point]:
    """Return the site's further pegs by name, in order of name."""
    rows = Peg.objects.filter(site_id=site_id).order_by("name")
    return {peg.name: (peg.east_m, peg.north_m) for peg in rows}
