"""Volumes, swell of spoil, settling, mixes, bags and barrow loads, and their cost.

Front door: `build_need`. Pure sums; what is in stock on a day is not kept here.
"""

import math
from collections.abc import Mapping

from orchard.domain.errors import ParameterOutOfRange, UnknownMaterial
from orchard.domain.plan import MaterialItem, MaterialNeed, Store

BARROW_LITRES = 60.0
"""A garden barrow holds 57 to 85 L; 60 L is the heaped-level load used here."""

PUSHER_MOST_KG: Mapping[str, float] = {"adult": 60.0, "teenager": 30.0, "child": 15.0}
"""Most that each pushes in one barrow; invented defaults, to be set by the site."""

SWELL: Mapping[str, tuple[float, float]] = {
    "sand or gravel": (0.05, 0.15),
    "topsoil": (0.10, 0.25),
    "loam": (0.10, 0.35),
    "common earth": (0.20, 0.45),
    "clay": (0.30, 0.60),
}
"""Volume gained on digging, least and most (construction-equipment textbook table, restated)."""

BARROW_MOST_KG = 50.0
"""Adult barrow load of the tool matrix (common practice); heavy soil fills less than 60 L."""

LITRES_PER_CUBIC_YARD = 764.554857984

SPOIL_SWELL = 0.30
"""Common earth swells 20 to 45 % when dug (construction-equipment textbook, restated)."""

POURED = frozenset({"water"})
"""Materials that come through a hose or a can and never in a barrow or a bag."""

_ROUNDING = 1e-9


def layer_volume_l(area_m2: float, depth_mm: float) -> float:
    """Return the litres in a layer: one millimetre on one square metre is one litre.

    Source:
        Arithmetic; 1,000 ft² at 1 in is 3.086 yd³ (state compost pages: 3.1).
    """
    return area_m2 * depth_mm


def hole_volume_l(diameter_mm: float, depth_mm: float) -> float:
    """Return one core hole's litres.

    Source:
        Cylinder; 75 mm × 300 mm -> 1.325 L, 3 in × 15 in -> 1.7375 L.
    """
    return math.pi * diameter_mm**2 / 4 * depth_mm / 1e6


def loose_volume_l(bank_l: float, swell: float = SPOIL_SWELL) -> float:
    """Return the litres that dug earth fills once loose.

    Args:
        bank_l: Litres in the ground.
        swell: Fraction gained on digging, 0 or more.

    Source:
        Swell tables restated: clay 30 to 60 %; 1.00 m³ of clay at 40 % -> 1.40 m³.
    """
    return bank_l * (1 + swell)


def order_volume_l(settled_l: float, loss: float) -> float:
    """Return the loose litres to bring so that the settled material fills the space.

    Args:
        settled_l: Litres to fill.
        loss: Fraction of the loose volume lost on settling, 0 up to but not 1.

    Raises:
        ParameterOutOfRange: If loss is outside that.

    Source:
        Soil-restoration detail sheet: 10 to 15 % for placed soil and compost;
        1.0 m³ at 15 % -> 1.176 m³.
    """
    if not 0 <= loss < 1:
        raise ParameterOutOfRange(
            f"A settling loss of {loss:g} cannot be; it is a fraction from 0 up to but not 1, "
            "and 0.10 to 0.15 is usual."
        )
    return settled_l / (1 - loss)


def split_mix(litres: float, shares_percent: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """Return the litres of each ingredient of a mix, by volume, nothing for a share of 0.

    Raises:
        ParameterOutOfRange: If the shares do not add up to 100 %.
    """
    total = sum(shares_percent.values())
    if not math.isclose(total, 100, abs_tol=1e-6):
        stated = ", ".join(f"{name} {share:g} %" for name, share in shares_percent.items())
        raise ParameterOutOfRange(
            f"The mix adds up to {total:g} % ({stated}); make the shares add up to 100 %."
        )
    return tuple((name, litres * share / 100) for name, share in shares_percent.items() if share)


def count_bags(litres: float, bag_litres: float) -> int:
    """Return whole bags, rounded up; 0 for a material sold only in bulk.

    Source:
        1 yd³ is 9 bags of 3 ft³ (University of Maine Extension) and 14 of 2 ft³.
    """
    return _round_up(litres / bag_litres) if bag_litres > 0 else 0


def count_barrow_loads(litres: float, kg_per_m3: float) -> int:
    """Return whole barrow loads, rounded up, each at most 60 L and 50 kg.

    Source:
        Garden barrow 2 to 3 ft³; the mass limit is common practice.
    """
    load_l = BARROW_LITRES
    if kg_per_m3 > 0:
        load_l = min(load_l, BARROW_MOST_KG / kg_per_m3 * 1000)
    return _round_up(litres / load_l)


def load_litres(kg_per_m3: float, pusher: str, *, most_kg: float | None = None) -> float:
    """Return the litres that one barrow holds when it is capped by who pushes it.

    Args:
        kg_per_m3: Loose density, 0 or more.
        pusher: "adult", "teenager" or "child".
        most_kg: The site's own cap, instead of the default for the pusher.

    Raises:
        ParameterOutOfRange: If the pusher is none of these.

    Source:
        Garden barrow 60 L; caps are invented defaults: loose soil of 1,300 kg/m³
        gives an adult 46 L and a teenager 23 L.
    """
    if pusher not in PUSHER_MOST_KG:
        raise ParameterOutOfRange(
            f"Nobody called “{pusher}” pushes barrows; known: {', '.join(sorted(PUSHER_MOST_KG))}."
        )
    cap_kg = PUSHER_MOST_KG[pusher] if most_kg is None else most_kg
    return min(BARROW_LITRES, cap_kg / kg_per_m3 * 1000) if kg_per_m3 > 0 else BARROW_LITRES


def count_loads(
    litres: float, kg_per_m3: float, pusher: str, *, most_kg: float | None = None
) -> int:
    """Return whole barrow loads by who pushes, rounded up.

    Raises:
        ParameterOutOfRange: As `load_litres`.
    """
    return _round_up(litres / load_litres(kg_per_m3, pusher, most_kg=most_kg))


def barrow_minutes(
    loads: int,
    distance_m: float,
    *,
    load_min: float = 1.5,
    speed_m_min: float = 50.0,
    tip_min: float = 0.5,
) -> float:
    """Return the person-minutes of barrowing: load, walk there and back, tip.

    Args:
        loads: Whole loads.
        distance_m: One way.
        load_min: Minutes to fill one load.
        speed_m_min: Metres a minute, above 0.
        tip_min: Minutes to tip one.

    Source:
        Invented defaults; 40 m -> 3.60 min a load, 17 loads -> 61.2 min.
        Professional hauling over 20 to 50 m takes 28.2 min/m³ (Guild of Project Controls).
    """
    return loads * (load_min + 2 * distance_m / speed_m_min + tip_min)


def mass_kg(litres: float, kg_per_m3: float) -> float:
    """Return the mass of a loose volume in kilograms."""
    return litres / 1000 * kg_per_m3


def get_material(store: Store, code: str) -> MaterialItem:
    """Return a material of the store.

    Raises:
        UnknownMaterial: If the store does not list it.
    """
    for item in store.materials:
        if item.code == code:
            return item
    known = ", ".join(sorted(item.code for item in store.materials)) or "none"
    raise UnknownMaterial(
        f"The plan needs the material “{code}”, which the store does not list. "
        f"Add it with its price; materials known: {known}."
    )


def build_need(store: Store, code: str, litres: float) -> MaterialNeed:
    """Return what to bring of one material, in litres and in things to count.

    Litres and cents are rounded up to whole ones.

    Args:
        store: For the density, the price and the bag.
        code: The material.
        litres: Loose volume, not rounded.

    Raises:
        UnknownMaterial: If the store does not list the material.
    """
    item = get_material(store, code)
    whole_l = _round_up(litres)
    return MaterialNeed(
        material=code,
        litres=float(whole_l),
        bags=count_bags(litres, item.bag_litres),
        barrow_loads=0 if code in POURED else count_barrow_loads(litres, item.kg_per_m3),
        cost_cents=_round_up(litres / 1000 * item.price_cents_per_m3),
    )


def _round_up(value: float) -> int:
    """Round up to a whole number, forgiving what binary fractions add."""
    return math.ceil(value - _ROUNDING * max(1.0, abs(value)))
