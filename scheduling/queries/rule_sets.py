"""Reads rule sets: every version, which are adopted on a day, and the policy they make."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from scheduling.domain.errors import RuleSetUnknown
from scheduling.domain.policy import Policy, build_default_policy, build_policy
from scheduling.domain.rule_set import RuleSet
from scheduling.domain.rule_set_codec import decode_rule_set
from scheduling.models import Adoption, RuleSetVersion


@dataclass(frozen=True, slots=True)
class KeptRuleSet:
    """One version of a rule set as kept. `own` says that the site changed or made it."""

    id: int
    code: str
    version: int
    title: str
    source: str
    status: str
    checked_on: date | None
    confirmed_name: str
    because: str
    created_at: datetime
    own: bool
    rules: RuleSet


@dataclass(frozen=True, slots=True)
class AdoptedSet:
    """A rule set in force from a day on: for the whole site, or for one class's school."""

    id: int
    kept: KeptRuleSet
    adopted_on: date
    adopted_name: str
    ended_on: date | None
    ended_name: str
    group_id: int | None
    group_name: str
    school: str


def load_adopted(site_id: int, *, on: date, groups: Iterable[int] = ()) -> tuple[AdoptedSet, ...]:
    """Return what holds on a day: the site's sets first, then those of these classes' schools."""
    held_by = Q(group__isnull=True) | Q(group_id__in=sorted(groups))
    rows = _adoptions(site_id).filter(held_by, adopted_on__lte=on)
    return _in_order(row for row in rows if row.ended_on is None or on < row.ended_on)


def load_current_adoptions(site_id: int) -> tuple[AdoptedSet, ...]:
    """Return every adoption of the site and of its classes' schools that was not ended."""
    return _in_order(_adoptions(site_id).filter(ended_on__isnull=True))


def load_ended_adoptions(site_id: int) -> tuple[AdoptedSet, ...]:
    """Return every adoption that was ended, the last ended first."""
    rows = _adoptions(site_id).filter(ended_on__isnull=False).order_by("-ended_on", "-id")
    return tuple(_adopted(row) for row in rows)


@dataclass(frozen=True, slots=True)
class AdoptedRules:
    """What holds on a day: the site's own sets, and by class those of its school."""

    own: tuple[RuleSet, ...]
    of_classes: tuple[tuple[int, RuleSet], ...]
    site_policy: Policy  # with no class there

    def choose(self, groups: Iterable[int] = (), *, instead: RuleSet | None = None) -> Policy:
        """Return the figures that hold with these classes there, the strictest of all sets.

        Args:
            groups: Classes that come, whose schools' own sets hold on top.
            instead: A set to try in place of the adopted one of the same code.
        """
        here = set(groups)
        schools = tuple(rules for group, rules in self.of_classes if group in here)
        if not schools and instead is None:
            return self.site_policy
        own = tuple(_tried(rules, instead) for rules in self.own)
        return _join(own, tuple(_tried(rules, instead) for rules in schools))


def load_adopted_rules(site_id: int, *, on: date) -> AdoptedRules:
    """Return what holds on a day, whichever classes come."""
    rows = [
        (row.group_id, decode_rule_set(row.rule_set.content))
        for row in _adoptions(site_id).filter(adopted_on__lte=on)
        if row.ended_on is None or on < row.ended_on
    ]
    own = tuple(rules for group, rules in rows if group is None)
    of_classes = tuple((group, rules) for group, rules in rows if group is not None)
    return AdoptedRules(own, of_classes, _join(own, ()))


def load_policy(
    site_id: int,
    *,
    on: date,
    groups: Iterable[int] = (),
    instead: RuleSet | None = None,
) -> Policy:
    """Return the figures that hold on a day, the strictest of the adopted sets.

    Args:
        site_id: The site.
        on: The day.
        groups: Classes that come, whose schools' own sets hold on top.
        instead: A set to try in place of the adopted one of the same code.

    Returns:
        The policy; that of the sets shipped by default where the site had
        adopted nothing by then.
    """
    return load_adopted_rules(site_id, on=on).choose(groups, instead=instead)


def _join(own: tuple[RuleSet, ...], schools: tuple[RuleSet, ...]) -> Policy:
    return build_policy(own, schools) if own else build_default_policy()


def _tried(rules: RuleSet, instead: RuleSet | None) -> RuleSet:
    return instead if instead is not None and instead.code == rules.code else rules


def load_versions(site_id: int) -> tuple[KeptRuleSet, ...]:
    """Return every version the site may adopt, by code, the newest first."""
    rows = RuleSetVersion.objects.filter(Q(site_id=site_id) | Q(site__isnull=True))
    return tuple(_kept(row) for row in rows.order_by("code", "-version", "-id"))


def find_version(site_id: int, code: str, version: int) -> KeptRuleSet | None:
    """Return one version as the site knows it, its own before one that was shipped, or None."""
    rows = RuleSetVersion.objects.filter(
        Q(site_id=site_id) | Q(site__isnull=True), code=code, version=version
    )
    known = {row.site_id: row for row in rows}
    row = known.get(site_id) or known.get(None)
    return _kept(row) if row else None


def get_version(version_id: int, site_id: int) -> KeptRuleSet:
    """Return a version of the site or a shipped one.

    Raises:
        RuleSetUnknown: If the site knows no version with this number.
    """
    row = RuleSetVersion.objects.filter(
        Q(site_id=site_id) | Q(site__isnull=True), pk=version_id
    ).first()
    if row is None:
        raise RuleSetUnknown(
            f"There is no rule set version number {version_id}. Choose one of the site's list."
        )
    return _kept(row)


def _adoptions(site_id: int) -> QuerySet[Adoption]:
    return (
        Adoption.objects.filter(site_id=site_id)
        .select_related("rule_set", "group")
        .order_by("adopted_on", "id")
    )


def _in_order(rows: Iterable[Adoption]) -> tuple[AdoptedSet, ...]:
    return tuple(_adopted(row) for row in sorted(rows, key=lambda row: row.group_id is not None))


def _adopted(row: Adoption) -> AdoptedSet:
    return AdoptedSet(
        id=row.pk,
        kept=_kept(row.rule_set),
        adopted_on=row.adopted_on,
        adopted_name=row.adopted_name,
        ended_on=row.ended_on,
        ended_name=row.ended_name,
        group_id=row.group_id,
        group_name=row.group.name if row.group else "",
        school=row.group.school if row.group else "",
    )


def _kept(row: RuleSetVersion) -> KeptRuleSet:
    return KeptRuleSet(
        id=row.pk,
        code=row.code,
        version=row.version,
        title=row.title,
        source=row.source,
        status=row.status,
        checked_on=row.checked_on,
        confirmed_name=row.confirmed_name,
        because=row.because,
        created_at=row.created_at,
        own=row.site_id is not None,
        rules=decode_rule_set(row.content),
    )
