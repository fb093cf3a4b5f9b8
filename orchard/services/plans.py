"""Saving a plan: its head, its lines, its order. Every save that changes it makes a version.

Not for tasks: what a save means for them is shown and applied by `services.tasks`.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from orchard.domain.errors import PlanError, UnknownGround
from orchard.domain.ordering import natural_key
from orchard.domain.plan import PlannedTreatment
from orchard.domain.plan_versions import (
    PlanContent,
    decode_content,
    encode_content,
    say_differences,
)
from orchard.domain.treatment import read_parameters
from orchard.domain.treatments import get_treatment
from orchard.models import Plan, PlanTreatment, PlanVersion, Pocket, Tree
from orchard.queries.plans import load_content

LONGEST_SENTENCE = 400


def start_plan(
    *, site_id: int, code: str, title: str, budget_cents: int, by: int, at: datetime
) -> int:
    """Start an empty plan and return its id.

    Raises:
        PlanError: If the site has a plan of that code.
    """
    with transaction.atomic():
        if Plan.objects.filter(site_id=site_id, code=code).exists():
            raise PlanError(f"There is a plan {code} already. Give the new one another code.")
        row = Plan.objects.create(
            site_id=site_id, code=code, title=title, budget_cents=budget_cents
        )
        _keep_version(row, f"Started “{title}”.", by=by, at=at)
    return row.pk


def change_plan(*, plan_id: int, title: str, budget_cents: int, by: int, at: datetime) -> str:
    """Change a plan's title and budget; return what changed, or nothing."""

    def change(content: PlanContent) -> PlanContent:
        return replace(content, title=title, budget_cents=budget_cents)

    return _save(plan_id, change, by=by, at=at)


def save_line(*, plan_id: int, line: PlannedTreatment, by: int, at: datetime) -> str:
    """Add a line to a plan, or put it in the place of the line with its key.

    Returns:
        What changed, in sentences; empty when the line was so already.

    Raises:
        PlanError: If the treatment or its ground is unknown, a number is out of
            range, or a pocket is bored by another line.
    """

    def change(content: PlanContent) -> PlanContent:
        if any(one.key == line.key for one in content.lines):
            lines = tuple(line if one.key == line.key else one for one in content.lines)
        else:
            lines = (*content.lines, line)
        return replace(content, lines=lines)

    return _save(plan_id, change, by=by, at=at, checked=(line,))


def remove_line(*, plan_id: int, key: str, by: int, at: datetime) -> str:
    """Take a line out of a plan; return what changed, or nothing if it was not there."""

    def change(content: PlanContent) -> PlanContent:
        return replace(content, lines=tuple(one for one in content.lines if one.key != key))

    return _save(plan_id, change, by=by, at=at)


def restore_version(*, plan_id: int, number: int, by: int, at: datetime) -> str:
    """Bring a plan back to what a version says; return what that changed.

    The versions in between stay: restoring is one more save.

    Raises:
        PlanError: If there is no such version, or it names ground that is gone.
    """
    row = PlanVersion.objects.filter(plan_id=plan_id, number=number).first()
    if row is None:
        raise PlanError(f"The plan has no version {number}. Choose one of its history.")
    content = decode_content(row.content)

    def change(_content: PlanContent) -> PlanContent:
        return content

    return _save(plan_id, change, by=by, at=at, opening=f"Back to version {number}. ")


def pick_key(*, plan_id: int, treatment: str) -> str:
    """Return a key for a new line of a treatment that no line of the plan has."""
    taken = set(PlanTreatment.objects.filter(plan_id=plan_id).values_list("key", flat=True))
    stem = treatment.lower()
    return next(
        key for number in range(1, len(taken) + 2) if (key := f"{stem}-{number}") not in taken
    )


def _save(
    plan_id: int,
    change: Callable[[PlanContent], PlanContent],
    *,
    by: int,
    at: datetime,
    checked: tuple[PlannedTreatment, ...] = (),
    opening: str = "",
) -> str:
    with transaction.atomic():
        row = Plan.objects.select_for_update().get(pk=plan_id)
        before = load_content(plan_id)
        after = change(before)
        for line in checked:
            _check_line(line, after)
        differences = say_differences(before, after)
        if not differences:
            return ""
        if not row.versions.exists():
            _keep_version(row, "As it stood before the first change here.", by=None, at=at)
        _write(row, after)
        sentence = f"{opening}{' '.join(differences)}"
        _keep_version(row, sentence, by=by, at=at)
    return sentence


def _check_line(line: PlannedTreatment, content: PlanContent) -> None:
    treatment = get_treatment(line.treatment)
    read_parameters(treatment, line)
    if not line.trees and not line.pockets and not getattr(line, "areas", ()):
        raise PlanError(
            f"{treatment.name} names no ground. Choose the {treatment.target.value} it is for."
        )
    for other in content.lines:
        shared = sorted(set(line.pockets) & set(other.pockets), key=natural_key)
        if other.key != line.key and other.treatment == line.treatment and shared:
            raise PlanError(
                f"Line {other.key} holds {', '.join(shared)} already. Keep each in one line."
            )


def _keep_version(row: Plan, sentence: str, *, by: int | None, at: datetime) -> None:
    last = row.versions.order_by("-number").values_list("number", flat=True).first() or 0
    if len(sentence) > LONGEST_SENTENCE:
        sentence = f"{sentence[: LONGEST_SENTENCE - 1]}…"
    PlanVersion.objects.create(
        plan=row,
        number=last + 1,
        at=at,
        by_id=by,
        sentence=sentence,
        content=encode_content(load_content(row.pk)),
    )


def _write(row: Plan, content: PlanContent) -> None:
    row.title, row.budget_cents = content.title, content.budget_cents
    row.save()
    trees = dict(Tree.objects.filter(site_id=row.site_id).values_list("tag", "pk"))
    pockets = dict(Pocket.objects.filter(site_id=row.site_id).values_list("code", "pk"))
    kept = {line.key: line for line in PlanTreatment.objects.filter(plan=row)}
    for position, line in enumerate(content.lines, start=1):
        tree_ids = _find_all("tree", line.trees, trees)
        pocket_ids = _find_all("pocket", line.pockets, pockets)
        kept_line = kept.pop(line.key, None) or PlanTreatment(plan=row, key=line.key)
        kept_line.position = position
        kept_line.treatment = line.treatment
        kept_line.parameters = {given.name: given.value for given in line.parameters}
        kept_line.priority = line.priority
        kept_line.save()
        kept_line.trees.set(tree_ids)
        kept_line.pockets.set(pocket_ids)
    for gone in kept.values():
        gone.delete()


def _find_all(what: str, codes: tuple[str, ...], known: dict[str, int]) -> list[int]:
    missing = sorted(set(codes) - set(known), key=natural_key)
    if missing:
        raise UnknownGround(
            f"The site has no {what} {', '.join(missing)} any more. Add the {what} again, or "
            "change the line that names it."
        )
    return [known[code] for code in codes]
