"""The tools and materials a site starts its list from, none of them on hand.

Densities as the reference gives them; ages and the briefing as the tool matrix,
common practice; prices are invented and to be replaced by a supplier's. Not for
what is in stock: that is counted.
"""

from orchard.domain.plan import MaterialItem, Store, ToolItem

_TOOLS: tuple[tuple[str, str, int, bool, str], ...] = (
    ("barrow", "wheelbarrow", 14, False, ""),
    ("broadfork", "broadfork", 16, False, ""),
    ("bucket", "bucket, 10 L", 0, False, ""),
    ("camera", "camera or phone", 0, False, ""),
    ("dust_mask", "dust mask", 0, False, ""),
    ("ear_defenders", "pair of ear defenders", 0, False, ""),
    ("fork", "garden fork", 8, False, ""),
    ("girth_tape", "girth tape", 0, False, ""),
    ("gloves", "pair of gloves", 0, False, ""),
    ("hand_auger", "hand auger, 75 mm", 14, False, "auger"),
    ("hoe", "hoe", 8, False, ""),
    ("hose", "hose, 50 m", 0, False, ""),
    ("kneeler", "kneeling mat", 0, False, ""),
    ("penetrometer", "cone penetrometer", 14, False, "measuring"),
    ("powered_auger", "powered auger", 18, True, "powered_auger"),
    ("rake", "rake", 8, False, ""),
    ("safety_glasses", "pair of safety glasses", 0, False, ""),
    ("scale", "kitchen scale", 0, False, ""),
    ("spade", "spade", 8, False, ""),
    ("tamper", "tamping stick", 0, False, ""),
    ("tape", "measuring tape, 30 m", 0, False, ""),
    ("tarp", "tarpaulin, 2 × 3 m", 0, False, ""),
    ("trowel", "trowel", 8, False, ""),
    ("watering_can", "watering can, 10 L", 0, False, ""),
)

_MATERIALS: tuple[tuple[str, str, float, int, float], ...] = (
    ("biochar", "biochar", 250, 30000, 30),
    ("chips", "wood chips", 300, 2000, 0),
    ("compost", "compost", 700, 4000, 40),
    ("inoculant", "biofertiliser (inoculant)", 1000, 200000, 5),
    ("organic_fertiliser", "organic fertiliser, pelleted", 700, 150000, 25),
    ("slow_release_fertiliser", "slow-release fertiliser", 1000, 400000, 20),
    ("topsoil", "screened topsoil", 1300, 4000, 25),
    ("water", "mains water", 1000, 200, 0),
    ("worm_units", "worm units, soil with earthworms, 2 L each", 1200, 500000, 0),
)


def build_usual_store() -> Store:
    """Return the usual tools, none on hand, and materials at invented prices.

    Source:
        Densities: chips 300, compost 700, loose earth 1,300 kg/m³ (state recycling
        factors, Oregon DEQ, CalRecycle). The rest is an invented default.
    """
    return Store(
        tuple(
            ToolItem(code, name, 0, minimum_age, powered, briefing)
            for code, name, minimum_age, powered, briefing in _TOOLS
        ),
        tuple(MaterialItem(*row) for row in _MATERIALS),
    )
