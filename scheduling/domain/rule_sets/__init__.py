"""The rule sets shipped with the planner: one file each, and this register.

Front doors: `RULE_SETS`, `DEFAULT_ADOPTION`, `get_rule_set`. Figures only, each
with its source and the day it was last held against it. A site adopts from
these, changes a copy under its own code, or adds its own.
"""

from orchard.domain.errors import RosterError
from scheduling.domain.rule_set import RuleSet
from scheduling.domain.rule_sets.nspcc_2023 import RULE_SET as NSPCC_2023
from scheduling.domain.rule_sets.site_defaults import RULE_SET as SITE_1

RULE_SETS: tuple[RuleSet, ...] = (NSPCC_2023, SITE_1)

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
