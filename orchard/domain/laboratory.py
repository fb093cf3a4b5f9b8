"""Laboratory figures of soil and compost against the limits they are read by.

Front doors: `judge_soil_lab` and `judge_compost`. Not for metals or other taint:
those need the laboratory's own reading and the health authority.
"""

from dataclasses import dataclass

from orchard.domain.citing import Citation, Status
from orchard.domain.readings import LabResult


@dataclass(frozen=True, slots=True)
class LabLimits:
    """What soil figures are read against; a site may set its own."""

    ph_least: float = 6.0
    ph_most: float = 7.0
    organic_least_percent: float = 3.0
    salts_most_ds_m: float = 2.7


DEFAULT_LAB_LIMITS = LabLimits()

PH = Citation("pH 6.0 to 7.0 wanted for fruit trees", Status.COMMON_PRACTICE)
ORGANIC = Citation("organic matter under 3 % called low", Status.COMMON_PRACTICE)
SALTS = Citation(
    "EC under 2.7 dS/m (1:1), the limit given for adding biochar: Soil Systems 4(1):9 (2020)",
    Status.VERIFIED,
)
COMPOST = Citation("Minnesota Stormwater Manual, compost specifications", Status.VERIFIED)


@dataclass(frozen=True, slots=True)
class LabLine:
    """One figure judged."""

    subject: str
    verdict: str  # "low", "in range", "high"
    text: str
    citation: Citation


@dataclass(frozen=True, slots=True)
class CompostFigures:
    """What a compost's supplier states; None where it says nothing.

    `emergence_percent` is seed emergence and vigour against a control;
    `held_55_c` says whether all of it was held at 55 °C with turning.
    """

    emergence_percent: float | None = None
    salts_ds_m: float | None = None
    ph: float | None = None
    organic_matter_percent: float | None = None
    inerts_percent: float | None = None
    held_55_c: bool | None = None


def judge_soil_lab(
    result: LabResult, limits: LabLimits = DEFAULT_LAB_LIMITS
) -> tuple[LabLine, ...]:
    """Return a line for each soil figure that the laboratory gave.

    Args:
        result: From the laboratory.
        limits: The site's own, or the defaults.
    """
    lines: list[LabLine] = []
    if result.ph is not None:
        lines.append(_line("pH", result.ph, limits.ph_least, limits.ph_most, "", PH))
    if result.organic_matter_percent is not None:
        least = limits.organic_least_percent
        lines.append(
            _line("organic matter", result.organic_matter_percent, least, None, " %", ORGANIC)
        )
    if result.salts_ds_m is not None:
        most = limits.salts_most_ds_m
        lines.append(_line("salts", result.salts_ds_m, None, most, " dS/m", SALTS))
    return tuple(lines)


def judge_compost(figures: CompostFigures) -> tuple[str, tuple[str, ...]]:
    """Return "accept", "ask" or "reject" for a compost, and the sentences why.

    Source:
        Minnesota Stormwater Manual: emergence and vigour at least 80 %, salts
        under 10 dS/m, pH 5.5 to 8.5, organic matter 30 to 65 %, inerts under 1 %;
        heat 55 °C against jumping worms: University of Minnesota Extension.
    """
    rejected: list[str] = []
    asked: list[str] = []
    if figures.emergence_percent is not None and figures.emergence_percent < 80:
        rejected.append(f"Seedlings reach {figures.emergence_percent:g} % of control; 80 is least.")
    if figures.salts_ds_m is not None and figures.salts_ds_m >= 10:
        rejected.append(f"Salts of {figures.salts_ds_m:g} dS/m; under 10, or dilute it.")
    if figures.ph is not None and not 5.5 <= figures.ph <= 8.5:
        rejected.append(f"pH {figures.ph:g}; 5.5 to 8.5 is wanted.")
    if figures.organic_matter_percent is not None and not (
        30 <= figures.organic_matter_percent <= 65
    ):
        asked.append(f"Organic matter {figures.organic_matter_percent:g} %; 30 to 65 is usual.")
    if figures.inerts_percent is not None and figures.inerts_percent >= 1:
        rejected.append(f"{figures.inerts_percent:g} % of glass, plastic, metal; under 1.")
    if figures.held_55_c is not True:
        asked.append("Ask whether all of it was held at 55 °C with turning, against jumping worms.")
    return ("reject" if rejected else "ask" if asked else "accept"), (*rejected, *asked)


def _line(
    subject: str,
    value: float,
    least: float | None,
    most: float | None,
    unit: str,
    citation: Citation,
) -> LabLine:
    if least is not None and value < least:
        verdict = "low"
    elif most is not None and value > most:
        verdict = "high"
    else:
        verdict = "in range"
    wanted = (
        f"{least:g} to {most:g}"
        if least is not None and most is not None
        else f"at least {least:g}"
        if least is not None
        else f"at most {most:g}"
    )
    text = f"{subject} {value:g}{unit} ({verdict}; {wanted}{unit} wanted)."
    return LabLine(
        subject, verdict, text[0].upper() + text[1:] if subject != "pH" else text, citation
    )
