"""The place, the plan and the roles, as kept."""

from orchard.models.place import (
    Area,
    Corridor,
    HoleRecord,
    Locate,
    Peg,
    Pocket,
    Site,
    SiteChange,
    Tree,
)
from orchard.models.plans import Plan, PlanTreatment, PlanVersion
from orchard.models.rates import Rate, RateVersion
from orchard.models.readings import GrowthReading, Reading
from orchard.models.roles import Role
from orchard.models.stores import Delivery, Material, Offer, StockCount, Tool
from orchard.models.tasks import Task
from orchard.models.uploads import Upload
from orchard.models.users import User

__all__ = [
    "Area",
    "Corridor",
    "Delivery",
    "GrowthReading",
    "HoleRecord",
    "Locate",
    "Material",
    "Offer",
    "Peg",
    "Plan",
    "PlanTreatment",
    "PlanVersion",
    "Pocket",
    "Rate",
    "RateVersion",
    "Reading",
    "Role",
    "Site",
    "SiteChange",
    "StockCount",
    "Task",
    "Tool",
    "Tree",
    "Upload",
    "User",
]
