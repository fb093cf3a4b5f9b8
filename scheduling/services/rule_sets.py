"""Rule sets shipped, adopted, ended and revised. A version once written is never edited.

Front doors: `ship_rule_sets`, `adopt_rule_set`, `end_adoption`, `revise_rule_set`.
What a revision would do to coming sessions: `services.rule_previews`.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max

from scheduling.domain.errors import RuleSetRefused, RuleSetUnknown
from scheduling.domain.figures import change_figures
from scheduling.domain.rule_set import RuleSet
from scheduling.domain.rule_set_codec import encode_rule_set
from scheduling.domain.rule_sets import DEFAULT_ADOPTION, RULE_SETS
from scheduling.models import Adoption, RuleSetVersion, SchoolGroup
from scheduling.queries.people import get_signing_name
from scheduling.queries.rule_sets import KeptRuleSet, get_version, load_current_adoptions

SHIPPED_BY = "as shipped"


@transaction.atomic
def ship_rule_sets(*, at: datetime) -> int:
    """Put the sets that came with the planner in the database; return how many were new."""
    known = set(RuleSetVersion.objects.filter(site__isnull=True).values_list("code", "version"))
    missing = [rules for rules in RULE_SETS if (rules.code, rules.version) not in known]
    for rules in missing:
        _keep(rules, site_id=None, by=None, name=rules.confirmed_by, because="", at=at)
    return len(missing)


@transaction.atomic
def adopt_default_rule_sets(*, site_id: int, at: datetime, on: date) -> int:
    """Adopt the default sets for a site that never adopted any; return how many it adopted."""
    ship_rule_sets(at=at)
    if Adoption.objects.filter(site_id=site_id, group__isnull=True).exists():
        return 0
    for code in DEFAULT_ADOPTION:
        shipped = RuleSetVersion.objects.filter(site__isnull=True, code=code)
        Adoption.objects.create(
            site_id=site_id,
            rule_set=shipped.latest("version"),
            adopted_on=on,
            adopted_name=SHIPPED_BY,
        )
    return len(DEFAULT_ADOPTION)


@transaction.atomic
def adopt_rule_set(
    *, site_id: int, version_id: int, by: int, on: date, group_id: int | None = None
) -> int:
    """Hold the site, or one class's school on top of it, to a version from a day on.

    An adoption of another version of the same set ends on that day. Adopting
    what is adopted already changes nothing.

    Returns:
        The adoption's number.

    Raises:
        RuleSetUnknown: If the site knows no such version or no such class.
    """
    kept = get_version(version_id, site_id)
    if (
        group_id is not None
        and not SchoolGroup.objects.filter(pk=group_id, site_id=site_id).exists()
    ):
        raise RuleSetUnknown(f"The site has no class number {group_id}. Choose one of its own.")
    current = Adoption.objects.select_for_update(of=("self",)).filter(
        site_id=site_id, group_id=group_id, rule_set__code=kept.code, ended_on__isnull=True
    )
    same = current.filter(rule_set_id=version_id).first()
    if same is not None:
        return same.pk
    name = get_signing_name(by, site_id)
    for earlier in current:
        earlier.ended_on, earlier.ended_name = max(on, earlier.adopted_on), name
        earlier.save(update_fields=["ended_on", "ended_name"])
    return Adoption.objects.create(
        site_id=site_id,
        group_id=group_id,
        rule_set_id=version_id,
        adopted_on=on,
        adopted_by_id=by,
        adopted_name=name,
    ).pk


@transaction.atomic
def end_adoption(*, site_id: int, adoption_id: int, by: int, on: date) -> None:
    """End an adoption: from that day on the set no longer holds.

    Raises:
        RuleSetUnknown: If the site has no such adoption in force.
        RuleSetRefused: If the site would be left without any supervision table.
    """
    row = (
        Adoption.objects.select_for_update(of=("self",))
        .filter(pk=adoption_id, site_id=site_id, ended_on__isnull=True)
        .first()
    )
    if row is None:
        raise RuleSetUnknown(
            f"There is no adoption number {adoption_id} in force. Reload the page."
        )
    others = [
        each
        for each in load_current_adoptions(site_id)
        if each.id != adoption_id and each.group_id is None
    ]
    if row.group_id is None and not any(each.kept.rules.supervision for each in others):
        raise RuleSetRefused(
            f"{row.rule_set.code} is the only adopted set with a table of supervision ratios. "
            "Adopt another one first, then end this one."
        )
    row.ended_on, row.ended_name = max(on, row.adopted_on), get_signing_name(by, site_id)
    row.save(update_fields=["ended_on", "ended_name"])


@transaction.atomic
def revise_rule_set(
    *,
    site_id: int,
    version_id: int,
    changes: Mapping[str, str],
    because: str,
    by: int,
    at: datetime,
    on: date,
) -> KeptRuleSet:
    """Make the next version of a set with some figures changed, and adopt it where it held.

    The version before stays as it was. A shipped set becomes the site's own
    with its next number.

    Args:
        site_id: The site.
        version_id: The version to start from: the newest the site knows of its code.
        changes: New values as typed, by the paths of `figures.list_figures`.
        because: Why, for the history.
        by: The account that answers for the figures.
        at: Now, aware.
        on: Today at the site: the day from which the new version holds.

    Raises:
        RuleSetUnknown: If the site knows no such version.
        RuleSetRefused: If nothing changes, no reason is given, or a newer
            version was made meanwhile.
        FigureRefused: If a value is no such figure.
    """
    kept = get_version(version_id, site_id)
    name = get_signing_name(by, site_id)
    revised = build_revision(kept, changes, name=name, on=on, newest=_newest(site_id, kept.code))
    if not because.strip():
        raise RuleSetRefused("Say why the figures change; the reason stays in the history.")
    row = _keep(revised, site_id=site_id, by=by, name=name, because=because.strip(), at=at)
    for each in load_current_adoptions(site_id):
        if each.kept.code == kept.code:
            adopt_rule_set(site_id=site_id, version_id=row.pk, by=by, on=on, group_id=each.group_id)
    return get_version(row.pk, site_id)


def build_revision(
    kept: KeptRuleSet, changes: Mapping[str, str], *, name: str, on: date, newest: int
) -> RuleSet:
    """Return the next version of a set with the changes, confirmed by name on a day.

    Raises:
        RuleSetRefused: If nothing changes or a newer version was made meanwhile.
        FigureRefused: If a value is no such figure.
    """
    if kept.version != newest:
        raise RuleSetRefused(
            f"Version {newest} of {kept.code} was made meanwhile; you were looking at version "
            f"{kept.version}. Change that one."
        )
    changed = change_figures(kept.rules, changes)
    if changed == kept.rules:
        raise RuleSetRefused("Nothing was changed. Type another value, or leave the set as it is.")
    return replace(changed, version=newest + 1, confirmed_by=name, checked_on=on)


def find_newest_number(site_id: int, code: str) -> int:
    """Return the highest version number the site knows of a set; 0 when it knows none."""
    return _newest(site_id, code)


def _newest(site_id: int, code: str) -> int:
    shipped = RuleSetVersion.objects.filter(site__isnull=True, code=code)
    own = RuleSetVersion.objects.filter(site_id=site_id, code=code)
    numbers = [rows.aggregate(newest=Max("version"))["newest"] or 0 for rows in (shipped, own)]
    return max(numbers)


def _keep(
    rules: RuleSet, *, site_id: int | None, by: int | None, name: str, because: str, at: datetime
) -> RuleSetVersion:
    return RuleSetVersion.objects.create(
        site_id=site_id,
        code=rules.code,
        version=rules.version,
        title=rules.title,
        content=encode_rule_set(rules),
        source=rules.source,
        status=rules.status,
        checked_on=rules.checked_on,
        confirmed_by_id=by,
        confirmed_name=name,
        because=because,
        created_at=at,
    )
