"""Ways of doing the same ground compared: hours, sessions, money, evidence.

Front doors: `compare_methods(piece, rates, costs, turn_out) -> tuple[MethodRow, ...]`
and `choose_methods(options, hours, money_cents) -> MethodChoice`. Not a plan: the
chosen method becomes lines of a plan in the plan editor.
"""

from dataclasses import dataclass
from enum import StrEnum

from orchard.domain.effort import Effort
from orchard.domain.place import Hardness
from orchard.domain.treatment import Standing


class Method(StrEnum):
    """A way of doing a piece of ground."""

    LEAVE = "leave it"
    MULCH = "mulch only"
    HAND_POCKETS = "pockets by hand auger"
    POWERED_POCKETS = "pockets by powered auger"
    WHOLE_AREA = "cores over the whole area"
    AIR = "air excavation by a contractor"


@dataclass(frozen=True, slots=True)
class GroundPiece:
    """A piece of ground to choose a method for."""

    code: str
    name: str
    area_m2: float
    hardness: Hardness
    pocket_m2: float = 20.0  # one pocket
    pockets: int = 1
    value: float = 1.0  # worth of a square metre treated, against the other pieces


@dataclass(frozen=True, slots=True)
class TurnOut:
    """What a usual session of this site gives: adults' worth of hands, and working minutes."""

    adults: float
    working_min: float
    adults_trained_powered: int = 0

    @property
    def person_min(self) -> float:
        """Person-minutes of one session."""
        return self.adults * self.working_min


@dataclass(frozen=True, slots=True)
class MethodCosts:
    """Prices in cents; every default is invented and can be changed per site."""

    chips_per_m3: int = 2000
    mix_per_m3: int = 5000
    powered_auger_per_day: int = 9000
    contractor_per_m2: int = 2500
    contractor_call_out: int = 40000
    spoil_away_per_m3: int = 3000


@dataclass(frozen=True, slots=True)
class MethodRow:
    """One way of doing one piece of ground. Hours are adult volunteers'; None: not here."""

    piece: str
    method: Method
    label: str  # "pockets by hand auger, 30 cm apart"
    spacing_mm: int | None
    effort: Effort  # person-minutes of volunteers, all of it
    sessions: int
    money_cents: int
    holes: int
    hole_share: float  # of the piece's whole ground
    treated_share: float  # of the piece's whole ground
    standing: Standing
    evidence: str
    cautions: tuple[str, ...]
    benefit: float  # weight of evidence × treated ground × worth; an ordering, not a measure
    benefit_basis: str
    sensible: bool = False  # no other way costs less of all and gives as much


@dataclass(frozen=True, slots=True)
class MethodChoice:
    """The best ways of doing some pieces within hours and money, proven."""

    rows: tuple[MethodRow, ...]  # one per piece, in the order given
    person_hours: float
    money_cents: int
    benefit: float
    hours_left: float
    money_left_cents: int
    combinations: int  # how many there were to choose from
