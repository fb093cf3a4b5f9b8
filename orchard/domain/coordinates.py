"""Longitude and latitude to metres east and north of the site's peg, and back.

An azimuthal equidistant plane about the peg on the ellipsoid WGS 84: every distance
and bearing from the peg is true, as a tape laid from it is. Not for heights, not for
other datums, and not for ground farther than `FURTHEST_M` from the peg.

Errors. Away from the peg, lengths across the line to it are too long by about
distance² / (6 · radius of the earth²): 0.1 mm in a kilometre at 5 km from the peg
(`stretch_at`). Seven decimals of a degree, as RFC 7946 files have them, are 11 mm of
latitude, so a position that went through such a file is true to `SEVEN_DECIMALS_M`.
A telephone's own position is worse by a factor of five hundred.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from pyproj import Proj

from orchard.domain.errors import GroundError
from orchard.domain.place import Point

Degrees = tuple[float, float]
"""Longitude, latitude, in this order, as in RFC 7946 section 3.1.1."""

EARTH_RADIUS_M = 6_371_008.8  # mean radius of GRS 80, Moritz 2000
FURTHEST_M = 20_000.0  # an orchard farther from its own peg is a slip; invented limit
DECIMALS = 7  # RFC 7946 section 11.2 argues for 6 or 7; the seventh is a centimetre
SEVEN_DECIMALS_M = 0.009  # half a step both ways: hypot(5.6 mm, 5.6 mm), and a millimetre


class OffTheMap(GroundError):
    """A longitude and latitude that cannot be on the site."""

    code = "ground.off_the_map"


@dataclass(frozen=True, slots=True)
class LocalPlane:
    """The metre plane about a peg. East and north are those of the true meridian there."""

    latitude: float
    longitude: float

    def to_plane(self, at: Degrees) -> Point:
        """Return metres east and north of the peg, to the millimetre.

        Args:
            at: Longitude and latitude in degrees.

        Raises:
            OffTheMap: If the numbers are no longitude and latitude, or lie
                farther than `FURTHEST_M` from the peg.
        """
        longitude, latitude = at
        self._check(longitude, latitude)
        east, north = _projection(self.latitude, self.longitude)(longitude, latitude)
        if not (math.isfinite(east) and math.hypot(east, north) <= FURTHEST_M):
            raise self._too_far(longitude, latitude)
        return round(float(east), 3) + 0.0, round(float(north), 3) + 0.0

    def to_degrees(self, at: Point) -> Degrees:
        """Return longitude and latitude in degrees, to seven decimals.

        Args:
            at: Metres east and north of the peg.

        Raises:
            OffTheMap: If the point lies farther than `FURTHEST_M` from the peg.
        """
        if not math.hypot(*at) <= FURTHEST_M:
            raise OffTheMap(
                f"The point {at[0]:g} m east, {at[1]:g} m north is more than "
                f"{FURTHEST_M / 1000:g} km from the site's peg. Correct the point."
            )
        longitude, latitude = _projection(self.latitude, self.longitude)(*at, inverse=True)
        return round(float(longitude), DECIMALS) + 0.0, round(float(latitude), DECIMALS) + 0.0

    def to_outline(self, ring: Iterable[Degrees]) -> tuple[Point, ...]:
        """Return a ring of longitudes and latitudes as an outline in metres.

        Raises:
            OffTheMap: If a corner cannot be on the site.
        """
        return tuple(self.to_plane(corner) for corner in ring)

    def _check(self, longitude: float, latitude: float) -> None:
        if not (abs(longitude) <= 180 and abs(latitude) <= 90):
            raise OffTheMap(
                f"Longitude {longitude:g}, latitude {latitude:g} are no degrees: they must lie "
                "within 180 and 90. If they are metres of a national grid, save the file again "
                "with longitude and latitude (WGS 84)."
            )

    def _too_far(self, longitude: float, latitude: float) -> OffTheMap:
        swapped = abs(longitude) <= 90 and _is_near(self, latitude, longitude)
        remedy = (
            "Longitude and latitude seem to have changed places."
            if swapped
            else "Correct it, or the position of the site's peg."
        )
        return OffTheMap(
            f"Longitude {longitude:g}, latitude {latitude:g} is more than "
            f"{FURTHEST_M / 1000:g} km from the site's peg (longitude {self.longitude:g}, "
            f"latitude {self.latitude:g}). {remedy}"
        )


def stretch_at(distance_m: float) -> float:
    """Return by which share lengths are too long at a distance from the peg.

    Args:
        distance_m: Metres from the peg.

    Source:
        Scale across the radius of the azimuthal equidistant projection of a
        sphere, c / sin c (J. P. Snyder, Map Projections: A Working Manual, USGS
        Professional Paper 1395, 1987, page 195, equation 25-2).
    """
    angle = distance_m / EARTH_RADIUS_M
    return angle / math.sin(angle) - 1 if angle else 0.0


@lru_cache(maxsize=8)
def _projection(latitude: float, longitude: float) -> Proj:
    return Proj(proj="aeqd", lat_0=latitude, lon_0=longitude, ellps="WGS84", units="m")


def _is_near(plane: LocalPlane, longitude: float, latitude: float) -> bool:
    east, north = _projection(plane.latitude, plane.longitude)(longitude, latitude)
    return math.isfinite(east) and math.hypot(east, north) <= FURTHEST_M
