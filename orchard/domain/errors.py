"""The exceptions of both packages' pure cores, as one tree.

    PlannerError                    code, message: what is wrong and what to do
    ├── UnitsError                  a quantity that cannot be read
    ├── GroundError                 geometry that cannot be worked with
    │   ├── TreeWithoutCanopy
    │   └── PocketUnworkable        no hole fits: the pocket lies in keep-outs
    ├── PlanError                   a plan that cannot be broken down
    │   ├── EmptyPlan
    │   ├── UnknownTreatment
    │   ├── UnknownGround        a tree, pocket or area the site does not have
    │   ├── UnknownTool, UnknownMaterial
    │   └── ParameterOutOfRange
    ├── RateMissing                 no rate for an activity
    └── RosterError                 a roster or season problem that cannot be stated

Every message is one or two sentences for a coordinator: the value found, the
limit, the remedy. `code` is stable and never reused; wording may change.
"""


class PlannerError(Exception):
    """Root of everything a user can put right.

    Args:
        message: What is wrong and what to do about it, in plain sentences.
    """

    code = "planner"

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class UnitsError(PlannerError):
    """A quantity that cannot be read."""

    code = "units.unreadable"


class GroundError(PlannerError):
    """Geometry that cannot be worked with."""

    code = "ground"


class TreeWithoutCanopy(GroundError):
    """A tree has no canopy radius, so its ring cannot be drawn."""

    code = "ground.tree_without_canopy"


class PocketUnworkable(GroundError):
    """No core hole fits in a pocket."""

    code = "ground.pocket_unworkable"


class PlanError(PlannerError):
    """A remediation plan that cannot be broken down."""

    code = "plan"


class EmptyPlan(PlanError):
    """The plan holds no treatment, or a treatment names no ground."""

    code = "plan.empty"


class UnknownTreatment(PlanError):
    """The plan names a treatment that is not in the register."""

    code = "plan.unknown_treatment"


class UnknownGround(PlanError):
    """The plan names a tree, a pocket or an area that the site does not have."""

    code = "plan.unknown_ground"


class UnknownTool(PlanError):
    """A tool is named that the store does not list."""

    code = "plan.unknown_tool"


class UnknownMaterial(PlanError):
    """A material is named that the store does not list."""

    code = "plan.unknown_material"


class ParameterOutOfRange(PlanError):
    """A treatment's parameter lies outside the range it allows."""

    code = "plan.parameter_out_of_range"


class RateMissing(PlannerError):
    """The rate table has no rate for an activity."""

    code = "rates.missing"


class RosterError(PlannerError):
    """A season or roster problem that cannot be stated."""

    code = "roster"
