"""Keeping the store: the usual list taken over, deliveries, counts, offers, tools on hand."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from orchard.domain.errors import PlanError, UnknownMaterial
from orchard.domain.stores import SupplierOffer
from orchard.domain.usual_stores import build_usual_store
from orchard.models import Delivery, Material, Offer, StockCount, Tool


def take_over_usual_list(*, site_id: int) -> int:
    """List the usual tools and materials the site does not list yet; return how many were added.

    Nothing that is there is changed, so it may be repeated.
    """
    usual = build_usual_store()
    with transaction.atomic():
        tools = set(Tool.objects.filter(site_id=site_id).values_list("code", flat=True))
        materials = set(Material.objects.filter(site_id=site_id).values_list("code", flat=True))
        new_tools = [
            Tool(
                site_id=site_id,
                code=tool.code,
                name=tool.name,
                on_hand=tool.on_hand,
                minimum_age=tool.minimum_age,
                powered=tool.powered,
                briefing=tool.briefing,
            )
            for tool in usual.tools
            if tool.code not in tools
        ]
        new_materials = [
            Material(
                site_id=site_id,
                code=item.code,
                name=item.name,
                kg_per_m3=item.kg_per_m3,
                price_cents_per_m3=item.price_cents_per_m3,
                bag_litres=item.bag_litres,
            )
            for item in usual.materials
            if item.code not in materials
        ]
        Tool.objects.bulk_create(new_tools)
        Material.objects.bulk_create(new_materials)
    return len(new_tools) + len(new_materials)


def save_tools_on_hand(*, site_id: int, on_hand: Mapping[str, int]) -> int:
    """Keep how many of each tool there are; return how many figures changed."""
    changed = 0
    with transaction.atomic():
        for tool in Tool.objects.select_for_update().filter(site_id=site_id):
            count = on_hand.get(tool.code, tool.on_hand)
            if count != tool.on_hand:
                tool.on_hand = count
                tool.save(update_fields=["on_hand"])
                changed += 1
    return changed


def record_delivery(
    *, site_id: int, material: str, code: str, on: date, litres: int, cost_cents: int | None
) -> None:
    """Keep a load that comes on a day.

    Raises:
        UnknownMaterial: If the site does not list the material.
        PlanError: If the material has a load of that code.
    """
    row = _get_material(site_id, material)
    if row.deliveries.filter(code=code).exists():
        raise PlanError(f"There is a delivery {code} of {row.name} already. Give it another code.")
    Delivery.objects.create(material=row, code=code, on=on, litres=litres, cost_cents=cost_cents)


def record_count(*, site_id: int, material: str, on: date, litres: int, note: str) -> None:
    """Keep what was found in the bay; a second count of a day takes the place of the first.

    Raises:
        UnknownMaterial: If the site does not list the material.
    """
    row = _get_material(site_id, material)
    StockCount.objects.update_or_create(
        material=row, on=on, defaults={"litres": litres, "note": note}
    )


def save_offer(*, site_id: int, offer: SupplierOffer) -> None:
    """Keep a supplier's offer, or put it in the place of the one with its code.

    Raises:
        UnknownMaterial: If the site does not list the material.
    """
    row = _get_material(site_id, offer.material)
    Offer.objects.update_or_create(
        material=row,
        code=offer.code,
        defaults={
            "supplier": offer.supplier,
            "unit": offer.unit,
            "litres_per_unit": offer.litres_per_unit,
            "price_cents_per_unit": offer.price_cents_per_unit,
            "least_units": offer.least_units,
            "delivery_cents": offer.delivery_cents,
            "lead_days": offer.lead_days,
        },
    )


def _get_material(site_id: int, code: str) -> Material:
    row = Material.objects.filter(site_id=site_id, code=code).first()
    if row is None:
        known = Material.objects.filter(site_id=site_id).values_list("code", flat=True)
        raise UnknownMaterial(
            f"There is no material “{code}”. Materials known: {', '.join(known) or 'none'}."
        )
    return row
