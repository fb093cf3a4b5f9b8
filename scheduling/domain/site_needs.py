"""First aiders by published tables, toilets and hand washing, and the risk score.

Tables side by side, to show which asks for what. Which one a site is held to is
its rule book's business; local codes prevail.
"""

from dataclasses import dataclass
from math import ceil

from orchard.domain.errors import RosterError

TOILET_SOURCE = "29 CFR 1928.110 (field sanitation) and Maryland's copy"
PEOPLE_PER_TOILET = 20
TOILETS_FROM_MIN = 180  # not asked for at three hours or less, travel included
FIRST_AID_SOURCE = "HSE first-aid table, as reprinted; the stricter reading of its last line"


@dataclass(frozen=True, slots=True)
class FirstAidNeed:
    """Trained first aiders, and whether an appointed person is enough instead."""

    first_aiders: int
    appointed_person_enough: bool


def hse_first_aid(people: int, *, higher_hazard: bool) -> FirstAidNeed:
    """Return what the HSE table suggests for a number of people.

    Args:
        people: Everyone there, the public and volunteers included.
        higher_hazard: Sharp tools or machinery.

    Source:
        HSE first-aid table (reprint). Low hazard: under 25 an appointed person,
        25 to 50 one, above 50 one for each 100 or part. Higher: under 5 an
        appointed person, 5 to 50 one, above 50 one for each 50 or part.
    """
    if people < (5 if higher_hazard else 25):
        return FirstAidNeed(0, True)
    if people <= 50:
        return FirstAidNeed(1, False)
    return FirstAidNeed(ceil(people / (50 if higher_hazard else 100)), False)


def quebec_first_aiders(people: int) -> int:
    """Return the first aiders a shift of people asks for in Québec.

    Source:
        First-aid Minimum Standards Regulation, A-3.001, r. 10, section 3: one
        for 50 or fewer, one more for each further 100 or part.
    """
    return 0 if people <= 0 else 1 + ceil(max(0, people - 50) / 100)


def ontario_first_aid(people: int) -> str:
    """Return the level Ontario asks for at a workplace.

    Source:
        Ontario Regulation 1101, summary of the WSIB (reprint).
    """
    if people <= 5:
        return "emergency first aid"
    if people <= 15:
        return "standard first aid"
    if people <= 200:
        return "standard first aid, a stretcher and two blankets"
    return "a first-aid room"


def toilets_needed(people: int, minutes: int) -> int:
    """Return toilets, and as many places to wash hands, for a number of people.

    Args:
        people: Everyone there.
        minutes: How long, travel included.

    Returns:
        One for each 20 or part; 0 at three hours or less, when one is still
        advised.

    Source:
        29 CFR 1928.110 and Maryland's copy; the federal rule applies from 11
        hand labourers and within a quarter mile (400 m).
    """
    return ceil(people / PEOPLE_PER_TOILET) if minutes > TOILETS_FROM_MIN else 0


def risk_word(likelihood: int, severity: int) -> str:
    """Return the word of a risk: low, medium, high (needs control) or stop.

    Raises:
        RosterError: If either figure is not 1 to 5.

    Source:
        Convention: 1 to 4 low, 5 to 9 medium, 10 to 15 high, 16 to 25 stop.
    """
    for value in (likelihood, severity):
        if not 1 <= value <= 5:
            raise RosterError(f"A figure of {value} is outside 1 to 5; choose one inside.")
    score = likelihood * severity
    for least, word in ((16, "stop"), (10, "high"), (5, "medium")):
        if score >= least:
            return word
    return "low"


def check_residual(before: int, after: int) -> None:
    """Refuse a risk that is larger after its controls than before.

    Raises:
        RosterError: If it is.
    """
    if after > before:
        raise RosterError(
            f"A risk of {after} after the controls is more than the {before} before them; "
            "check both figures."
        )
