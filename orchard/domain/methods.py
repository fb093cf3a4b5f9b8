"""Ways of doing the same ground compared: hours, sessions, money, evidence.

Front door: `compare_methods`. Which way for which piece within hours and money is
`method_choice`. Not a plan: a chosen way becomes lines of a plan in the editor.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from orchard.domain.boreholes import Grid, ground_per_hole_m2, hole_fraction
from orchard.domain.coring import bore_effort, fill_effort
from orchard.domain.effort import Effort
from orchard.domain.errors import GroundError
from orchard.domain.materials import hole_volume_l, layer_volume_l, loose_volume_l, order_volume_l
from orchard.domain.method_words import BENEFITS, EVIDENCE, words_of
from orchard.domain.method_words import Method as Method
from orchard.domain.place import Hardness
from orchard.domain.rates import RateTable
from orchard.domain.treatment import Standing

MULCH_MM = 75.0
NOTICED = 0.001
"""A way is beaten when another is better by this share in hours, money or worth; invented."""

ON_MULCH = (Method.HAND_POCKETS, Method.POWERED_POCKETS, Method.WHOLE_AREA, Method.AIR)
SETTLING = 0.15


@dataclass(frozen=True, slots=True)
class GroundPiece:
    """A piece of ground to choose a method for.

    `value` is the worth of a square metre treated, against the other pieces.
    """

    code: str
    name: str
    area_m2: float
    hardness: Hardness
    pockets: int = 1
    pocket_m2: float = 20.0
    value: float = 1.0


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
    powered_auger_per_session: int = 9000
    contractor_per_m2: int = 2500
    contractor_call_out: int = 40000
    spoil_away_per_m3: int = 0


DEFAULT_COSTS = MethodCosts()


@dataclass(frozen=True, slots=True)
class MethodRow:
    """One way of doing one piece of ground.

    `effort` is all the volunteers' person-minutes. `benefit` orders the ways: a
    weight for the evidence, times the ground treated, times its worth.
    `sensible`: no other way, and no two ways sharing the ground out between
    them, ask no more hours and no more money and are worth at least as much.
    """

    piece: str
    method: Method
    label: str
    spacing_mm: int | None
    effort: Effort
    sessions: int
    money_cents: int
    holes: int
    hole_share: float  # of the piece's whole ground
    treated_share: float  # cored, blown or, without either, mulched; of the whole ground
    standing: Standing
    evidence: str
    cautions: tuple[str, ...]
    benefit: float
    benefit_basis: str
    sensible: bool = False

    @property
    def person_hours(self) -> float:
        """Expected person-hours of volunteers."""
        return self.effort.mean_min / 60


def compare_methods(
    piece: GroundPiece,
    rates: RateTable,
    turn_out: TurnOut,
    costs: MethodCosts = DEFAULT_COSTS,
    *,
    spacings_mm: tuple[int, ...] = (300, 400, 500),
    diameter_mm: float = 75.0,
    depth_mm: float = 300.0,
) -> tuple[MethodRow, ...]:
    """Return the ways of doing one piece of ground, the sensible ones marked.

    Every way but leaving it mulches the whole piece; cores or air come on top,
    for mulch is what the trials found best. Holes are counted by density, which
    overstates small odd shapes; the plan counts them one by one.

    Args:
        piece: The ground; its pockets may not take up more than the area.
        rates: The site's, defaults filling in.
        turn_out: What a usual session gives here.
        costs: The site's prices.
        spacings_mm: Of the pockets' holes.
        diameter_mm: Width of a hole.
        depth_mm: Depth of a hole.

    Raises:
        GroundError: If the area is nothing, the pockets are larger than the
            area, or the turn-out is nothing.

    Source:
        Rates and shares as in `coring` and `boreholes`; 20 m² at 30 cm with PERT
        means 3.167, 5.883, 13.217 min a hole: 11.7, 21.8, 48.9 person-hours.
    """
    _check(piece, turn_out)
    maker = _Maker(piece, rates, turn_out, costs, diameter_mm, depth_mm)
    rows = [maker.leave(), maker.mulch()]
    for spacing in spacings_mm:
        rows.append(maker.holes(Method.HAND_POCKETS, spacing))
        rows.append(maker.holes(Method.POWERED_POCKETS, spacing))
    rows.append(maker.holes(Method.WHOLE_AREA, min(spacings_mm, default=300)))
    rows.append(maker.air())
    return mark_sensible(tuple(rows))


def mark_sensible(rows: tuple[MethodRow, ...]) -> tuple[MethodRow, ...]:
    """Return the rows with `sensible` set: nothing else asks no more and is worth as much.

    Ground can be shared out, so a row is also beaten by two others that each
    take a part of it. Of rows alike in all three, the first is kept.
    """
    figures = [(row.effort.mean_min, float(row.money_cents), -row.benefit) for row in rows]
    marked = []
    for place, row in enumerate(rows):
        others = [
            other
            for other_place, other in enumerate(figures)
            if other_place != place and (other != figures[place] or other_place < place)
        ]
        twin = any(other == figures[place] for other in others)
        beaten = twin or any(
            _beats(one, other, figures[place])
            for index, one in enumerate(others)
            for other in others[index:]
        )
        marked.append(replace(row, sensible=not beaten))
    return tuple(marked)


_Figures = tuple[float, float, float]  # minutes, cents, minus the worth: less is better


def _beats(one: _Figures, other: _Figures, mine: _Figures) -> bool:
    """Say whether sharing the ground between two ways is nowhere worse and somewhere better."""
    least, most = 0.0, 1.0  # share of the ground given to `other`
    for a, b, limit in zip(one, other, mine, strict=True):
        room = limit - a + 1e-9 * max(1.0, abs(limit))
        if abs(b - a) < 1e-12:
            if room < 0:
                return False
        elif b > a:
            most = min(most, room / (b - a))
        else:
            least = max(least, room / (b - a))
    if least > most:
        return False
    return any(
        limit - (a + share * (b - a)) > NOTICED * max(1.0, abs(limit))
        for share in (least, most)
        for a, b, limit in zip(one, other, mine, strict=True)
    )


@dataclass(frozen=True, slots=True)
class _Maker:
    piece: GroundPiece
    rates: RateTable
    turn_out: TurnOut
    costs: MethodCosts
    diameter_mm: float
    depth_mm: float

    def leave(self) -> MethodRow:
        return self._row(Method.LEAVE, None, Effort(0, 0, 0), 0, 0, 0.0)

    def mulch(self) -> MethodRow:
        effort, cents = self._mulch_of(self.piece.area_m2)
        return self._row(Method.MULCH, None, effort, cents, 0, 1.0)

    def holes(self, method: Method, spacing_mm: int) -> MethodRow:
        whole = method is Method.WHOLE_AREA
        ground_m2 = self.piece.area_m2 if whole else self.piece.pockets * self.piece.pocket_m2
        spacing_m = spacing_mm / 1000
        count = math.floor(ground_m2 / ground_per_hole_m2(spacing_m, Grid.SQUARE) + 1e-9)
        values = self._values(spacing_mm, powered=method is Method.POWERED_POCKETS)
        per_hole = bore_effort(self.rates, self.piece.hardness, values).plus(
            fill_effort(self.rates, values)
        )
        mulch, chips_cents = self._mulch_of(self.piece.area_m2)
        boring = per_hole.times(count)
        effort = boring.plus(mulch)
        bank_l = count * hole_volume_l(self.diameter_mm, self.depth_mm)
        cents = chips_cents + _cents(order_volume_l(bank_l, SETTLING), self.costs.mix_per_m3)
        cents += _cents(loose_volume_l(bank_l), self.costs.spoil_away_per_m3)
        if method is Method.POWERED_POCKETS:
            cents += self._sessions(boring) * self.costs.powered_auger_per_session
        share = ground_m2 / self.piece.area_m2
        return self._row(method, spacing_mm, effort, cents, count, share)

    def air(self) -> MethodRow:
        mulch, chips_cents = self._mulch_of(self.piece.area_m2)
        contract = math.ceil(self.piece.area_m2 * self.costs.contractor_per_m2)
        cents = chips_cents + contract + self.costs.contractor_call_out
        return self._row(Method.AIR, None, mulch, cents, 0, 1.0)

    def _values(self, spacing_mm: int, *, powered: bool) -> Mapping[str, float]:
        return {
            "spacing_mm": spacing_mm,
            "diameter_mm": self.diameter_mm,
            "depth_mm": self.depth_mm,
            "triangular": 0.0,
            "powered": float(powered),
        }

    def _mulch_of(self, ground_m2: float) -> tuple[Effort, int]:
        litres = layer_volume_l(ground_m2, MULCH_MM)
        effort = self.rates.find_rate("spread").effort.times(litres / 1000)
        return effort, _cents(litres, self.costs.chips_per_m3)

    def _sessions(self, effort: Effort) -> int:
        return math.ceil(effort.mean_min / self.turn_out.person_min - 1e-9)

    def _row(
        self,
        method: Method,
        spacing_mm: int | None,
        effort: Effort,
        cents: int,
        holes: int,
        treated: float,
    ) -> MethodRow:
        standing, evidence = EVIDENCE[method]
        weight, basis = BENEFITS[method]
        mouths_m2 = holes * math.pi * (self.diameter_mm / 1000) ** 2 / 4
        fullest = hole_fraction(self.diameter_mm / 1000, 0.3, Grid.SQUARE)
        share = mouths_m2 / self.piece.area_m2
        of_ground = weight * (share / fullest if holes else treated)
        # Every way but leaving it is mulched: cores and air come on top of that.
        mulched = BENEFITS[Method.MULCH][0] if method in ON_MULCH else 0.0
        return MethodRow(
            piece=self.piece.code,
            method=method,
            label=words_of(method, spacing_mm),
            spacing_mm=spacing_mm,
            effort=effort,
            sessions=self._sessions(effort),
            money_cents=cents,
            holes=holes,
            hole_share=share,
            treated_share=treated,
            standing=standing,
            evidence=evidence,
            cautions=self._cautions(method, effort, share / treated if treated else 0.0),
            benefit=round((of_ground + mulched) * self.piece.value * self.piece.area_m2, 6),
            benefit_basis=basis,
        )

    def _cautions(self, method: Method, effort: Effort, share: float) -> tuple[str, ...]:
        found: list[str] = []
        if method in ON_MULCH:
            found.append("Needs a locate in date, the owner's leave and a look into the past use.")
        if method in (Method.HAND_POCKETS, Method.POWERED_POCKETS, Method.WHOLE_AREA):
            if share < 0.045:
                found.append(
                    f"Holes take up {share:.1%} of the treated ground, under the 5 % the trade "
                    "aims at (common practice)."
                )
            if self.piece.hardness is Hardness.HARD:
                found.append("Hard fill: expect 5 to 40 % of holes refused (invented).")
        if method is Method.POWERED_POCKETS:
            trained = self.turn_out.adults_trained_powered
            found.append(
                "Powered auger: trained adults only, nobody under 18, no class on that task."
                + ("" if trained >= 2 else f" Only {trained} trained here; a pair is needed.")
            )
        if method is Method.AIR:
            found.append("A contractor's work: dust, noise, flying stones; nobody near meanwhile.")
        if method is Method.MULCH:
            found.append("Never over 10 cm deep; keep it a hand's breadth off every stem.")
        if self._sessions(effort) > 10:
            found.append(f"Takes {self._sessions(effort)} sessions: more than a usual season.")
        return tuple(found)


def _cents(litres: float, cents_per_m3: int) -> int:
    return math.ceil(litres / 1000 * cents_per_m3 - 1e-9)


def _check(piece: GroundPiece, turn_out: TurnOut) -> None:
    if not piece.area_m2 > 0:
        raise GroundError(
            f"{piece.name} has {piece.area_m2:g} m²; a piece of ground needs more than 0. Draw it."
        )
    if piece.pockets * piece.pocket_m2 > piece.area_m2 + 1e-9:
        raise GroundError(
            f"{piece.pockets} pockets of {piece.pocket_m2:g} m² are more than the "
            f"{piece.area_m2:.1f} m² of {piece.name}. Plan fewer or smaller ones."
        )
    if not turn_out.person_min > 0:
        raise GroundError(
            f"A session of {turn_out.adults:g} adults and {turn_out.working_min:g} minutes does "
            "no work. Give this site's usual turn-out."
        )
