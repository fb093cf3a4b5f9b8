"""Lengths, volumes and tools on a page, in either system."""

import pytest

from orchard.domain.units import System
from orchard.templatetags import lengths

M, US = System.METRIC, System.US
SQUARE = ((0, 0), (10, 0), (10, 9.290304), (0, 9.290304))  # 1000 ft² by definition of the foot


@pytest.mark.parametrize(
    ("written", "metric", "us"),
    [
        (lambda system: lengths.ground_length(2.4384, system), "2.438 m", "8 ft"),
        (lambda system: lengths.ground_length(-0.5, system), "−0.5 m", "−1.64 ft"),
        (lambda system: lengths.stems((95, 88), system), "95 mm, 88 mm", "3.74 in, 3.46 in"),
        (
            lambda system: lengths.ground_size(
                ((0, 0), (10, 0), (10, 9.290304), (0, 9.290304)), system
            ),
            "92.9 m²",
            "1000 sq ft",
        ),
        # NIST SP 811: 1 gal = 3.785412 L, 1 yd³ = 0.7645549 m³, 1 lb = 0.4535924 kg.
        (lambda system: lengths.litres(37.85412, system), "37.9 L", "10 gal"),
        (lambda system: lengths.litres(2293.665, system), "2.29 m³", "3 cu yd"),
        (lambda system: lengths.kilograms(18.1437, system), "18.1 kg", "40 lb"),
        (lambda system: lengths.bag_size(56.634, system), "56.6 L (2 cu ft)", "2 cu ft (56.6 L)"),
        (lambda system: lengths.tool_size(75, system), "75 mm (3 in)", "3 in (75 mm)"),
    ],
)
def test_each_system(written, metric, us) -> None:
    assert (written(M), written(US)) == (metric, us)


def test_what_nobody_knows_is_a_dash() -> None:
    filters = (
        lengths.ground_length,
        lengths.litres,
        lengths.kilograms,
        lengths.bag_size,
        lengths.tool_size,
    )
    assert {written(None, M) for written in filters} == {"–"}
    assert lengths.stems((), M) == "–"
