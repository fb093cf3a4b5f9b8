"""What a treatment must offer: the extension contract.

A treatment is a module in `treatments/` that defines one object satisfying
`Treatment`; the register in `treatments/__init__.py` lists it. Treatments do
not know each other: order between them is by `kind`, in `task_graph`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Protocol

from orchard.domain.citing import Citation, Status
from orchard.domain.diagnosis import AreaDiagnosis
from orchard.domain.errors import ParameterOutOfRange
from orchard.domain.place import Hardness, Tree
from orchard.domain.plan import (
    NOTHING_ASKED,
    Plan,
    PlannedTask,
    PlannedTreatment,
    SiteFacts,
    Store,
    TreeGrowth,
)
from orchard.domain.rates import RateTable


class Target(StrEnum):
    """The ground a treatment is for."""

    TREES = "trees"
    POCKETS = "pockets"


class Standing(StrEnum):
    """What trials say of a treatment, in one word. The sentence is `evidence`."""

    WELL_SUPPORTED = "well supported"
    SUPPORTED = "supported"
    CONTESTED = "contested"
    COMMON_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class ParameterSpec:
    """A treatment's number: unit, default, allowed range, who says so, and how that is known.

    Where the number stands for a choice, `choices` words each whole number from
    `least` to `most`.
    """

    name: str
    label: str
    unit: str
    default: float
    least: float
    most: float
    source: str
    choices: tuple[str, ...] = ()
    status: Status = field(kw_only=True)

    def words(self, value: float) -> str:
        """Return a value as printed: with its unit, or as the choice it stands for."""
        if self.choices:
            return self.choices[round(value - self.least)]
        return f"{value:g} {self.unit}".strip()


class Fit(StrEnum):
    """Whether a treatment suits the ground."""

    SUITS = "suits"
    WARNED = "with a warning"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Fitness:
    """Whether a treatment suits the ground, in a sentence, and who says so."""

    fit: Fit
    because: str
    citation: Citation


@dataclass(frozen=True, slots=True)
class GroundFacts:
    """What is known of the ground a treatment is thought of for. None: not known."""

    area: str
    hardness: Hardness | None = None
    diagnosis: AreaDiagnosis | None = None
    trees: tuple[Tree, ...] = ()
    growth: tuple[TreeGrowth, ...] = ()
    site: SiteFacts = NOTHING_ASKED
    on: date | None = None


@dataclass(frozen=True, slots=True)
class BreakdownContext:
    """What every treatment is handed besides its own line of the plan."""

    plan: Plan
    rates: RateTable
    store: Store
    session_person_min: float  # most person-minutes a task may hold


class Treatment(Protocol):
    """One kind of remediation, from its ground to its tasks."""

    code: str  # three letters, never reused
    kind: str
    name: str
    target: Target
    parameters: tuple[ParameterSpec, ...]
    standing: Standing
    evidence: str
    source: str
    soil_condition: str  # state of the ground in which it may be done

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether the treatment suits the ground, with the sentence that says why."""
        ...

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the tasks of one plan line, each small enough for one session.

        Raises:
            PlanError: If the line names unknown ground or a number out of range.
            GroundError: If the ground cannot be worked.
        """
        ...


def read_parameters(treatment: Treatment, line: PlannedTreatment) -> Mapping[str, float]:
    """Return all parameters of a line by name, defaults filled in.

    Raises:
        ParameterOutOfRange: If a value is outside its range or its name is unknown.
    """
    specs = {spec.name: spec for spec in treatment.parameters}
    values = {spec.name: spec.default for spec in treatment.parameters}
    for given in line.parameters:
        spec = specs.get(given.name)
        if spec is None:
            known = ", ".join(sorted(specs)) or "none"
            raise ParameterOutOfRange(
                f"{treatment.name} ({line.key}) has no parameter “{given.name}”; it has: {known}."
            )
        if not spec.least <= given.value <= spec.most:
            raise ParameterOutOfRange(
                f"{treatment.name} ({line.key}): {spec.label} is {given.value:g} {spec.unit}; "
                f"it may be {spec.least:g} to {spec.most:g} {spec.unit} ({spec.source})."
            )
        if spec.choices and given.value != round(given.value):
            listed = ", ".join(
                f"{spec.least + n:g} for {choice}" for n, choice in enumerate(spec.choices)
            )
            raise ParameterOutOfRange(
                f"{treatment.name} ({line.key}): {spec.label} is {given.value:g}; write {listed}."
            )
        values[given.name] = given.value
    return values
