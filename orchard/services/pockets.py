"""Saving pockets as drawn, and the holes of a pocket that were refused or moved."""

from datetime import date

from django.db import transaction

from orchard.domain.errors import GroundError, PlanError, UnknownGround
from orchard.domain.place import Outline, Point
from orchard.domain.place import Pocket as PocketValue
from orchard.domain.pockets import check_pockets
from orchard.models import Area, HoleRecord, PlanTreatment, Pocket, Site
from orchard.queries.plans import load_place, load_pockets
from orchard.queries.pocket_layouts import find_pocket_layout


def save_pocket(*, site_id: int, pocket: PocketValue, is_new: bool) -> None:
    """Keep a pocket, or put it in the place of the one with its code.

    Raises:
        GroundError: If its outline is bad, off the site, or overlaps another pocket.
        UnknownGround: If its area is unknown.
        PlanError: If it is new and its code is taken.
    """
    with transaction.atomic():
        Site.objects.select_for_update().get(pk=site_id)
        others = tuple(one for one in load_pockets(site_id) if one.code != pocket.code)
        row = Pocket.objects.filter(site_id=site_id, code=pocket.code).first()
        if is_new and row is not None:
            raise PlanError(f"There is a pocket {pocket.code} already. Choose another code.")
        check_pockets(load_place(site_id), (*others, pocket))
        row = row or Pocket(site_id=site_id, code=pocket.code)
        row.area = Area.objects.get(site_id=site_id, code=pocket.area)
        row.name = pocket.name
        row.outline = [[east, north] for east, north in pocket.outline]
        row.save()


def save_proposed(*, site_id: int, area: str, outlines: tuple[Outline, ...]) -> tuple[str, ...]:
    """Keep proposed pockets with the next free codes; return the codes.

    Raises:
        GroundError: If one cannot be, such as overlapping a pocket drawn since.
    """
    with transaction.atomic():
        codes = []
        for outline in outlines:
            taken = set(Pocket.objects.filter(site_id=site_id).values_list("code", flat=True))
            number = next(n for n in range(1, len(taken) + 2) if f"P{n}" not in taken)
            code = f"P{number}"
            value = PocketValue(code, "proposed", outline, area)
            save_pocket(site_id=site_id, pocket=value, is_new=True)
            codes.append(code)
    return tuple(codes)


def remove_pocket(*, site_id: int, code: str) -> None:
    """Take a pocket away.

    Raises:
        PlanError: If a plan names it.
    """
    lines = PlanTreatment.objects.filter(plan__site_id=site_id, pockets__code=code)
    used = sorted(f"{line.plan.code}, line {line.key}" for line in lines.select_related("plan"))
    if used:
        raise PlanError(
            f"Pocket {code} is in the plan ({'; '.join(used)}). Take it out of the plan first."
        )
    Pocket.objects.filter(site_id=site_id, code=code).delete()


def record_hole(
    *,
    site_id: int,
    pocket: str,
    name: str,
    reason: str,
    moved_to: Point | None,
    on: date,
    by: int,
) -> None:
    """Keep that a hole was refused, or moved to another place, so that the layout is repaired.

    Raises:
        UnknownGround: If the site has no such pocket, or the pocket no such hole.
        GroundError: If the place it was moved to cannot be.
    """
    with transaction.atomic():
        row = Pocket.objects.select_for_update().filter(site_id=site_id, code=pocket).first()
        found = find_pocket_layout(site_id, pocket)
        if row is None or found is None or found.layout is None:
            raise UnknownGround(f"There is no pocket {pocket} with holes laid out.")
        hole = next((one for one in found.layout.holes if one.name == name), None)
        if hole is None:
            raise UnknownGround(
                f"Pocket {pocket} has no hole {name} now. Read the name on the setting-out table."
            )
        HoleRecord.objects.create(
            pocket=row,
            name=name,
            east_m=hole.at[0],
            north_m=hole.at[1],
            outcome=HoleRecord.Outcome.MOVED if moved_to else HoleRecord.Outcome.REFUSED,
            new_east_m=moved_to[0] if moved_to else None,
            new_north_m=moved_to[1] if moved_to else None,
            reason=reason,
            on=on,
            by_id=by,
        )
        repaired = find_pocket_layout(site_id, pocket)
        if repaired is None or repaired.problem:
            # Raised inside the transaction, so the record goes again.
            raise GroundError(repaired.problem if repaired else "The pocket is gone.")


def forget_hole(*, site_id: int, pocket: str, record_id: int) -> bool:
    """Take away a hole's record that was written down wrongly; say whether it was there."""
    gone, _ = HoleRecord.objects.filter(
        pk=record_id, pocket__site_id=site_id, pocket__code=pocket
    ).delete()
    return gone > 0
