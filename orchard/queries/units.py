"""Reads in which units a person sees a site: the person's own choice, else the site's."""

from orchard.domain.units import System
from orchard.models import Site, User


def load_system(*, user_id: int, site_id: int) -> System:
    """Return the units to show to an account on a site."""
    own = find_own_system(user_id)
    site = Site.objects.filter(pk=site_id).values_list("units", flat=True).first()
    return System(own or site or System.METRIC)


def load_site_system(site_id: int) -> System:
    """Return a site's own units: those of its papers, whoever prints them."""
    site = Site.objects.filter(pk=site_id).values_list("units", flat=True).first()
    return System(site or System.METRIC)


def find_own_system(user_id: int) -> System | None:
    """Return the units an account has chosen, None if it sees each site's own."""
    chosen = User.objects.filter(pk=user_id).values_list("units", flat=True).first()
    return System(chosen) if chosen else None
