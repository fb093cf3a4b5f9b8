"""Words and evidence of the ways of doing a piece of ground.

For `methods`. The weights order the ways by what trials found; they are an
invented reading of that evidence, not a measure, and a page must say so.
"""

from enum import StrEnum

from orchard.domain.treatment import Standing


class Method(StrEnum):
    """A way of doing a piece of ground."""

    LEAVE = "leave it"
    MULCH = "mulch only"
    HAND_POCKETS = "pockets by hand auger"
    POWERED_POCKETS = "pockets by powered auger"
    WHOLE_AREA = "cores over the whole area"
    AIR = "air excavation by a contractor"


EVIDENCE: dict[Method, tuple[Standing, str]] = {
    Method.LEAVE: (
        Standing.COMMON_PRACTICE,
        "Keep at least one piece like this, or nobody can tell what the rest did.",
    ),
    Method.MULCH: (
        Standing.WELL_SUPPORTED,
        "Best single treatment and best value in a five-year trial (AUF 49(4):179, 2023).",
    ),
    Method.HAND_POCKETS: (
        Standing.CONTESTED,
        "Cores alone gained 26 to 33 % root mass over five years, not significant (AUF 49(4):179); "
        "a three-year trial found cores helped, less than chips (jauf.2025.012).",
    ),
    Method.POWERED_POCKETS: (
        Standing.CONTESTED,
        "As by hand; a spinning bit glazes wet clay walls, so roughen them.",
    ),
    Method.WHOLE_AREA: (
        Standing.CONTESTED,
        "As pockets, over all the ground; no trial compared the two.",
    ),
    Method.AIR: (
        Standing.SUPPORTED,
        "Air excavation with biochar and chips was best of all in five years, and the only mix "
        "that was significant, but dearest and slowest (AUF 49(4):179).",
    ),
}

BENEFITS: dict[Method, tuple[float, str]] = {
    Method.LEAVE: (0.0, "nothing is gained"),
    Method.MULCH: (1.0, "chips alone set to 1 (invented scale)"),
    Method.HAND_POCKETS: (
        0.3,
        "mulch, and 0.3 more on the pockets for cores at 30 cm: their +26 to +33 % against the "
        "+77 to +112 % of chips (invented reading)",
    ),
    Method.POWERED_POCKETS: (0.3, "as by hand auger (invented reading)"),
    Method.WHOLE_AREA: (0.3, "as pockets, over all the ground (invented reading)"),
    Method.AIR: (0.5, "mulch, and 0.5 more: best of all in the trial (invented reading)"),
}


def words_of(method: Method, spacing_mm: int | None) -> str:
    """Return a way in words, with its spacing where it has one."""
    if spacing_mm is None:
        return method.value
    return f"{method.value}, {spacing_mm / 10:g} cm apart"
