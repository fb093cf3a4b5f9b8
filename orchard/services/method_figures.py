"""Keeping a site's own prices and turn-out, by which ways of treating ground are compared."""

from collections.abc import Mapping
from dataclasses import fields

from orchard.domain.methods import MethodCosts
from orchard.models import Site

NAMES = (
    "adults",
    "working_min",
    "adults_trained_powered",
    *(field.name for field in fields(MethodCosts)),
)


def save_method_figures(*, site_id: int, figures: Mapping[str, float]) -> None:
    """Keep the figures a site has set itself; what is not named is usual again.

    Raises:
        KeyError: If a figure has a name the comparison does not know.
    """
    unknown = sorted(set(figures) - set(NAMES))
    if unknown:
        raise KeyError(", ".join(unknown))
    Site.objects.filter(pk=site_id).update(method_figures=dict(figures))
