"""The register of treatments. Add a file, a line here, a test, a paragraph in DEVELOPERS.md."""

from orchard.domain.errors import UnknownTreatment
from orchard.domain.treatment import Treatment
from orchard.domain.treatments.biochar import Biochar
from orchard.domain.treatments.biofertiliser import Biofertiliser
from orchard.domain.treatments.chip_mulch import ChipMulch
from orchard.domain.treatments.core_and_backfill import CoreAndBackfill
from orchard.domain.treatments.earthworms import Earthworms
from orchard.domain.treatments.fertilise import Fertilise
from orchard.domain.treatments.growth_record import GrowthRecord
from orchard.domain.treatments.loosen_ground import LoosenGround
from orchard.domain.treatments.photo_point import PhotoPoint
from orchard.domain.treatments.remove_turf import RemoveTurf
from orchard.domain.treatments.settle_visits import SettleVisits
from orchard.domain.treatments.survey_and_mark import SurveyAndMark
from orchard.domain.treatments.topdress_compost import TopdressCompost
from orchard.domain.treatments.water_trees import WaterTrees
from orchard.domain.treatments.weed_ring import WeedRing

TREATMENTS: tuple[Treatment, ...] = (
    Biochar(),
    Biofertiliser(),
    ChipMulch(),
    CoreAndBackfill(),
    Earthworms(),
    Fertilise(),
    GrowthRecord(),
    LoosenGround(),
    PhotoPoint(),
    RemoveTurf(),
    SettleVisits(),
    SurveyAndMark(),
    TopdressCompost(),
    WaterTrees(),
    WeedRing(),
)


def get_treatment(code: str) -> Treatment:
    """Return a treatment by its three-letter code.

    Raises:
        UnknownTreatment: If the register has none.
    """
    for treatment in TREATMENTS:
        if treatment.code == code:
            return treatment
    known = ", ".join(sorted(f"{treatment.code} ({treatment.name})" for treatment in TREATMENTS))
    raise UnknownTreatment(
        f"There is no treatment “{code}”. Correct the plan; treatments known: {known}."
    )
