"""The rule sets shipped with the planner: one file each, and this register.

Front doors: `RULE_SETS`, `DEFAULT_ADOPTION`, `get_rule_set`. Figures only, each
with its source and the day it was last held against it. A site adopts from
these, changes a copy under its own code, or adds its own. Guidance and single
bodies' policies: none of it is law, and local codes, the school's own risk
assessment and licensed practice go first.
"""

from orchard.domain.errors import RosterError
from scheduling.domain.rule_set import RuleSet
from scheduling.domain.rule_sets.aca_day import RULE_SET as ACA_DAY
from scheduling.domain.rule_sets.girl_guides_australia_adventure import (
    RULE_SET as GIRL_GUIDES_AU_ADVENTURE,
)
from scheduling.domain.rule_sets.girl_guides_australia_routine import (
    RULE_SET as GIRL_GUIDES_AU_ROUTINE,
)
from scheduling.domain.rule_sets.girlguiding_uk_away import RULE_SET as GIRLGUIDING_UK_AWAY
from scheduling.domain.rule_sets.hampshire_parks import RULE_SET as HAMPSHIRE_PARKS
from scheduling.domain.rule_sets.haspev_1998 import RULE_SET as HASPEV_1998
from scheduling.domain.rule_sets.lester_b_pearson_sb import RULE_SET as LESTER_B_PEARSON
from scheduling.domain.rule_sets.nspcc_2023 import RULE_SET as NSPCC_2023
from scheduling.domain.rule_sets.oeap import RULE_SET as OEAP
from scheduling.domain.rule_sets.scouting_america import RULE_SET as SCOUTING_AMERICA
from scheduling.domain.rule_sets.scouts_uk_away import RULE_SET as SCOUTS_UK_AWAY
from scheduling.domain.rule_sets.scouts_uk_squirrels import RULE_SET as SCOUTS_UK_SQUIRRELS
from scheduling.domain.rule_sets.site_defaults import RULE_SET as SITE_1
from scheduling.domain.rule_sets.stepped_rule import RULE_SET as STEPPED_10
from scheduling.domain.rule_sets.upper_grand_dsb import RULE_SET as UPPER_GRAND_508

RULE_SETS: tuple[RuleSet, ...] = (
    NSPCC_2023,
    SITE_1,
    SCOUTS_UK_SQUIRRELS,
    SCOUTS_UK_AWAY,
    GIRLGUIDING_UK_AWAY,
    GIRL_GUIDES_AU_ROUTINE,
    GIRL_GUIDES_AU_ADVENTURE,
    ACA_DAY,
    SCOUTING_AMERICA,
    HASPEV_1998,
    OEAP,
    UPPER_GRAND_508,
    LESTER_B_PEARSON,
    HAMPSHIRE_PARKS,
    STEPPED_10,
)

DEFAULT_ADOPTION: tuple[str, ...] = ("NSPCC-2023", "SITE-1")


def get_rule_set(code: str) -> RuleSet:
    """Return the shipped set with this code.

    Raises:
        RosterError: If no shipped set has the code.
    """
    for rules in RULE_SETS:
        if rules.code == code:
            return rules
    known = ", ".join(rules.code for rules in RULE_SETS)
    raise RosterError(f"No rule set “{code}” is shipped; those shipped are {known}.")
