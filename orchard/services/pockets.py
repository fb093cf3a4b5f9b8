"""Saving pockets as drawn. Not for what became of their holes: `holes` keeps that."""

from django.db import transaction

from orchard.domain.errors import PlanError, UnknownGround
from orchard.domain.place import Outline
from orchard.domain.place import Pocket as PocketValue
from orchard.domain.pockets import check_pockets
from orchard.models import Area, HoleRecord, PlanTreatment, Pocket, Site
from orchard.queries.plans import load_place, load_pockets


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
        UnknownGround: If the site has no such pocket.
        PlanError: If a plan names it, or holes have been bored in it.
    """
    if not Pocket.objects.filter(site_id=site_id, code=code).exists():
        raise UnknownGround(f"There is no pocket {code} on this site. Look at the list of pockets.")
    lines = PlanTreatment.objects.filter(plan__site_id=site_id, pockets__code=code)
    used = sorted(f"{line.plan.code}, line {line.key}" for line in lines.select_related("plan"))
    if used:
        raise PlanError(
            f"Pocket {code} is in the plan ({'; '.join(used)}). Take it out of the plan first."
        )
    bored = HoleRecord.objects.filter(
        pocket__site_id=site_id, pocket__code=code, outcome__in=HoleRecord.IN_THE_GROUND
    ).count()
    if bored:
        raise PlanError(
            f"{bored} holes have been bored in pocket {code}. It stays, so that new holes keep "
            "their distance from them and the ground counts as treated."
        )
    Pocket.objects.filter(site_id=site_id, code=code).delete()
