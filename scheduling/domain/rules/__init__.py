"""The rule book: one file per safety rule, and this register.

Front doors: `RULES`, `all_conditions`, `get_rule`. A rule emits conditions and
judges nothing. Not here: that a person is there (PRE-1) and has one task in a
round (ONE-1); those are the shape of any roster, kept by the planner's
structure and checked by `verify`.
"""

from orchard.domain.errors import RosterError
from scheduling.domain.condition import Condition
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule import Rule
from scheduling.domain.rules.adults_in_sight import AdultsInSight
from scheduling.domain.rules.age_for_task import AgeForTask
from scheduling.domain.rules.age_for_tool import AgeForTool
from scheduling.domain.rules.class_together import ClassTogether
from scheduling.domain.rules.close_out import CloseOut
from scheduling.domain.rules.consent_on_file import ConsentOnFile
from scheduling.domain.rules.contamination_gate import ContaminationGate
from scheduling.domain.rules.crew_lead import CrewLead
from scheduling.domain.rules.crew_size import CrewSize
from scheduling.domain.rules.daylight import Daylight
from scheduling.domain.rules.facilities import Facilities
from scheduling.domain.rules.first_aider import FirstAider
from scheduling.domain.rules.guardian_near import GuardianNear
from scheduling.domain.rules.heavy_rounds import HeavyRounds
from scheduling.domain.rules.kneeling_rounds import KneelingRounds
from scheduling.domain.rules.lifting_index import LiftingIndex
from scheduling.domain.rules.load_caps import CarryingByAge
from scheduling.domain.rules.locate_in_date import LocateInDate
from scheduling.domain.rules.never_alone import NeverAlone
from scheduling.domain.rules.open_holes import OpenHoles
from scheduling.domain.rules.powered_pairs import PoweredPairs
from scheduling.domain.rules.powered_zone import PoweredZone
from scheduling.domain.rules.restrictions import Restrictions
from scheduling.domain.rules.site_capacity import SiteCapacity
from scheduling.domain.rules.skill_in_date import SkillInDate
from scheduling.domain.rules.soil_workable import SoilWorkable
from scheduling.domain.rules.stretches import Stretches
from scheduling.domain.rules.supervision_ratio import SupervisionRatio
from scheduling.domain.rules.tools_looked_over import ToolsLookedOver
from scheduling.domain.rules.tools_on_hand import ToolsOnHand
from scheduling.domain.rules.trees_looked_over import TreesLookedOver
from scheduling.domain.rules.vibration_plan import VibrationPlan
from scheduling.domain.rules.vibration_stop import VibrationStop
from scheduling.domain.rules.watched_closely import WatchedClosely
from scheduling.domain.rules.weather_of_day import WeatherOfDay
from scheduling.domain.rules.work_in_order import WorkInOrder

RULES: tuple[Rule, ...] = (
    AgeForTask(),
    AgeForTool(),
    SkillInDate(),
    SupervisionRatio(),
    AdultsInSight(),
    NeverAlone(),
    WatchedClosely(),
    GuardianNear(),
    ConsentOnFile(),
    ClassTogether(),
    CrewSize(),
    CrewLead(),
    FirstAider(),
    Restrictions(),
    HeavyRounds(),
    ToolsOnHand(),
    LocateInDate(),
    CloseOut(),
    WorkInOrder(),
    PoweredPairs(),
    PoweredZone(),
    KneelingRounds(),
    Stretches(),
    VibrationPlan(),
    VibrationStop(),
    CarryingByAge(),
    LiftingIndex(),
    WeatherOfDay(),
    Facilities(),
    SiteCapacity(),
    ToolsLookedOver(),
    TreesLookedOver(),
    ContaminationGate(),
    SoilWorkable(),
    OpenHoles(),
    Daylight(),
)


def all_conditions(problem: RosterProblem) -> tuple[Condition, ...]:
    """Return every condition of every rule, in the order of the register.

    Args:
        problem: Who may come, what there is to do, by which figures.

    Returns:
        The same conditions in the same order for the same problem.
    """
    return tuple(condition for rule in RULES for condition in rule.conditions(problem))


def get_rule(code: str) -> Rule:
    """Return the rule with this code.

    Raises:
        RosterError: If no rule has the code.
    """
    for rule in RULES:
        if rule.code == code:
            return rule
    known = ", ".join(rule.code for rule in RULES)
    raise RosterError(f"The rule book has no rule “{code}”; its rules are {known}.")
