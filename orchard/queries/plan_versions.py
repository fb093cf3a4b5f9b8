"""Reads the versions of a plan: who saved it when, what changed, what it said."""

from dataclasses import dataclass
from datetime import datetime

from orchard.domain.plan_versions import PlanContent, decode_content, say_differences
from orchard.models import PlanVersion


@dataclass(frozen=True, slots=True)
class KeptVersion:
    """A version of a plan. `by` is an address, or empty when the account is gone."""

    number: int
    at: datetime
    by: str
    sentence: str
    content: PlanContent


@dataclass(frozen=True, slots=True)
class VersionPage:
    """One version beside the plan as it stands; `differences` lead from the version to it."""

    version: KeptVersion
    differences: tuple[str, ...]


def load_versions(plan_id: int) -> tuple[KeptVersion, ...]:
    """Return a plan's versions, newest first."""
    rows = PlanVersion.objects.filter(plan_id=plan_id).select_related("by")
    return tuple(_kept(row) for row in rows)


def find_version(*, plan_id: int, number: int, now: PlanContent) -> VersionPage | None:
    """Return one version against the plan as it stands, or None if there is none."""
    row = PlanVersion.objects.filter(plan_id=plan_id, number=number).select_related("by").first()
    if row is None:
        return None
    version = _kept(row)
    return VersionPage(version, say_differences(version.content, now))


def _kept(row: PlanVersion) -> KeptVersion:
    return KeptVersion(
        row.number,
        row.at,
        row.by.email if row.by else "",
        row.sentence,
        decode_content(row.content),
    )
