"""Every default a site may set for itself, with its range, its source and its status.

Front doors: `list_groups` for the page, `check_figure` for what somebody gives, `own_specs`
for forms, `fill_plan` for the breakdown, `read_limits` for the diagnosis. Keys are the
treatment's code and the parameter's name, “COR.spacing_mm”. Not for rates, which are
dated versions, and not for prices, which belong to the comparison of methods.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from orchard.domain.breakdown_size import SESSION_PERSON_MIN
from orchard.domain.citing import Status
from orchard.domain.diagnosis import DEFAULT_LIMITS, SoilLimits
from orchard.domain.errors import ParameterOutOfRange, PlanError
from orchard.domain.laboratory import ORGANIC, PH, SALTS, LabLimits
from orchard.domain.plan import OwnFigure, Parameter, Plan, PlannedTreatment
from orchard.domain.treatment import ParameterSpec
from orchard.domain.treatments import TREATMENTS

SOIL = "SOIL"
TASKS = "TASKS"


@dataclass(frozen=True, slots=True)
class FigureGroup:
    """The defaults of one treatment, or of the verdicts: its code, its name, its figures."""

    code: str
    name: str
    specs: tuple[ParameterSpec, ...]

    def key(self, spec: ParameterSpec) -> str:
        """Return the name under which a site's own value is kept."""
        return f"{self.code}.{spec.name}"


_SOIL_SPECS = (
    ParameterSpec(
        "spade_tests_wanted", "spade tests wanted in an area", "tests",
        DEFAULT_LIMITS.spade_tests_wanted, 1, 20, "Teagasc on VESS: at least 5 an area",
        status=Status.VERIFIED,
    ),
    ParameterSpec(
        "penetrometer_points_wanted", "moist penetrometer points wanted in an area", "points",
        DEFAULT_LIMITS.penetrometer_points_wanted, 3, 100, "our choice", status=Status.INVENTED,
    ),
    ParameterSpec(
        "stale_years", "years after which a reading is old", "years",
        DEFAULT_LIMITS.stale_years, 1, 10, "our choice", status=Status.INVENTED,
    ),
    ParameterSpec(
        "ph_least", "lowest pH called in range", "", DEFAULT_LIMITS.lab.ph_least, 4, 7,
        PH.source, status=PH.status,
    ),
    ParameterSpec(
        "ph_most", "highest pH called in range", "", DEFAULT_LIMITS.lab.ph_most, 6, 9,
        PH.source, status=PH.status,
    ),
    ParameterSpec(
        "organic_least_percent", "organic matter below which it is low", "%",
        DEFAULT_LIMITS.lab.organic_least_percent, 0.5, 10, ORGANIC.source, status=ORGANIC.status,
    ),
    ParameterSpec(
        "salts_most_ds_m", "salts above which they are high", "dS/m",
        DEFAULT_LIMITS.lab.salts_most_ds_m, 0.5, 8, SALTS.source, status=SALTS.status,
    ),
)  # fmt: skip
_TASK_SPECS = (
    ParameterSpec(
        "session_person_min", "most work of one task", "person-minutes", SESSION_PERSON_MIN,
        60, 4800, "four people for two working hours", status=Status.INVENTED,
    ),
)  # fmt: skip


def list_groups() -> tuple[FigureGroup, ...]:
    """Return every default by group: verdicts on the soil, size of tasks, each treatment."""
    return (
        FigureGroup(SOIL, "Verdicts on the ground", _SOIL_SPECS),
        FigureGroup(TASKS, "Size of tasks", _TASK_SPECS),
        *(FigureGroup(one.code, one.name, one.parameters) for one in TREATMENTS if one.parameters),
    )


def find_group(code: str) -> FigureGroup | None:
    """Return the group of a code, or None."""
    return next((group for group in list_groups() if group.code == code), None)


def check_figure(figure: OwnFigure) -> None:
    """Refuse a figure of no known key, out of its range, or without a reason.

    Raises:
        ParameterOutOfRange: With what may be given.
        PlanError: If the key is unknown or the reason missing.
    """
    code, _, name = figure.key.partition(".")
    group = find_group(code)
    spec = next((one for one in group.specs if one.name == name), None) if group else None
    if spec is None:
        raise PlanError(f"There is no default “{figure.key}”. Choose one of the list.")
    if not spec.least <= figure.value <= spec.most:
        raise ParameterOutOfRange(
            f"{spec.label.capitalize()} is {figure.value:g} {spec.unit}; it may be "
            f"{spec.least:g} to {spec.most:g} {spec.unit} ({spec.source})."
        )
    if not figure.reason.strip():
        raise PlanError(
            f"{spec.label.capitalize()}: write why this site differs from "
            f"{spec.words(spec.default)} ({spec.source})."
        )


def own_specs(group: FigureGroup, own: Iterable[OwnFigure]) -> tuple[ParameterSpec, ...]:
    """Return a group's figures with the site's own in place of the defaults."""
    by_key = {figure.key: figure for figure in own}

    def turn(spec: ParameterSpec) -> ParameterSpec:
        figure = by_key.get(group.key(spec))
        if figure is None or not spec.least <= figure.value <= spec.most:
            return spec
        source = f"{figure.reason}; elsewhere {spec.words(spec.default)}: {spec.source}"
        return replace(spec, default=figure.value, source=source, status=Status.OWN)

    return tuple(turn(spec) for spec in group.specs)


def fill_line(line: PlannedTreatment, own: Iterable[OwnFigure]) -> PlannedTreatment:
    """Return a line of a plan with the site's own figures where it names none itself."""
    given = {parameter.name for parameter in line.parameters}
    start = f"{line.treatment}."
    filled = tuple(
        Parameter(figure.key.removeprefix(start), figure.value)
        for figure in own
        if figure.key.startswith(start) and figure.key.removeprefix(start) not in given
    )
    if not filled:
        return line
    together = sorted((*line.parameters, *filled), key=lambda parameter: parameter.name)
    return replace(line, parameters=tuple(together))


def fill_plan(plan: Plan) -> Plan:
    """Return a plan whose lines carry the site's own figures."""
    lines = tuple(fill_line(line, plan.facts.own) for line in plan.treatments)
    return replace(plan, treatments=lines)


def read_session_person_min(own: Iterable[OwnFigure]) -> float:
    """Return the most person-minutes of one task at a site."""
    return _values(own, TASKS).get("session_person_min", SESSION_PERSON_MIN)


def read_limits(own: Iterable[OwnFigure]) -> SoilLimits:
    """Return what a site's soil figures are read against."""
    values = _values(own, SOIL)
    usual, lab = DEFAULT_LIMITS, DEFAULT_LIMITS.lab
    return SoilLimits(
        spade_tests_wanted=round(values.get("spade_tests_wanted", usual.spade_tests_wanted)),
        penetrometer_points_wanted=round(
            values.get("penetrometer_points_wanted", usual.penetrometer_points_wanted)
        ),
        stale_years=round(values.get("stale_years", usual.stale_years)),
        lab=LabLimits(
            values.get("ph_least", lab.ph_least),
            values.get("ph_most", lab.ph_most),
            values.get("organic_least_percent", lab.organic_least_percent),
            values.get("salts_most_ds_m", lab.salts_most_ds_m),
        ),
    )


def _values(own: Iterable[OwnFigure], code: str) -> dict[str, float]:
    start = f"{code}."
    return {
        figure.key.removeprefix(start): figure.value
        for figure in own
        if figure.key.startswith(start)
    }
