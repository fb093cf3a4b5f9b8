"""Pegs: marks on the ground that tapes are laid from."""

from django.db import transaction

from orchard.domain.errors import PlannerError
from orchard.domain.place import Point
from orchard.domain.place_changes import SITE_PEG
from orchard.domain.row_places import FURTHEST_M
from orchard.models import Peg, Site


class PegRefused(PlannerError):
    """A peg that cannot be kept."""

    code = "pegs.refused"


@transaction.atomic
def record_peg(*, site_id: int, name: str, at: Point) -> bool:
    """Keep where a peg stands, and return whether it is new; again changes its place.

    Args:
        site_id: The site.
        name: What is written on it; letter case does not matter.
        at: Metres east and north of the site's own peg.

    Raises:
        PegRefused: If the name is that of the site's own peg, or the place too far out.
    """
    if name.casefold() == SITE_PEG.casefold():
        raise PegRefused(
            f"{SITE_PEG} is the site's own peg and stands at 0, 0. Choose another name."
        )
    if not max(map(abs, at)) <= FURTHEST_M:
        raise PegRefused(
            f"The peg would stand {at[0]:.0f} m east and {at[1]:.0f} m north; at most "
            f"{FURTHEST_M:.0f} m are kept. Correct the distances."
        )
    Site.objects.select_for_update().get(pk=site_id)
    peg = Peg.objects.filter(site_id=site_id, name__iexact=name).first()
    row = peg or Peg(site_id=site_id, name=name)
    row.east_m, row.north_m = round(at[0], 3), round(at[1], 3)
    row.save()
    return peg is None


def remove_peg(*, site_id: int, name: str) -> bool:
    """Forget a peg, and return whether there was one. Trees measured from it stay."""
    return Peg.objects.filter(site_id=site_id, name__iexact=name).delete()[0] > 0
