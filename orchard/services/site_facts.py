"""Changing what is known of a site, and the figures it sets for itself; each change is kept."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime

from django.db import transaction

from orchard.domain.effort import Effort
from orchard.domain.errors import PlanError
from orchard.domain.own_figures import FigureGroup, check_figure, read_limits
from orchard.domain.plan import OwnFigure
from orchard.domain.rates import Rate, RateTable
from orchard.models import RateVersion, Site, SiteChange
from orchard.queries.rates import load_given_rates, load_rate_table
from orchard.queries.treatment_facts import read_own
from orchard.services.rates import keep_rates

FACTS: dict[str, str] = {
    "name": "name",
    "town": "town",
    "units": "units",
    "organiser_name": "who runs it",
    "organiser_email": "address of who runs it",
    "entrance": "entrance",
    "emergency_number": "emergency number",
    "nearest_emergency_department": "nearest emergency department",
    "muster_point": "where people gather",
    "shelter": "shelter",
    "shelter_kind": "kind of shelter",
    "toilets": "toilets",
    "hand_washes": "places to wash hands",
    "jurisdiction": "rule on locates",
    "earthworms": "earthworms",
    "worm_advice": "local advice on earthworms",
    "inoculant_wanted": "biofertiliser wanted in spite of the evidence",
}
"""What may be changed on the page of facts, each with its words."""


@transaction.atomic
def change_facts(*, site_id: int, facts: Mapping[str, object], by: int, at: datetime) -> str:
    """Keep a site's facts and what was changed of them; return that in a sentence.

    Args:
        site_id: The site.
        facts: New values by the names of `FACTS`; what is not named stays.
        by: The account that changes them.
        at: The moment, aware.

    Raises:
        KeyError: If a fact is named that is none of them.
    """
    unknown = sorted(set(facts) - set(FACTS))
    if unknown:
        raise KeyError(", ".join(unknown))
    site = Site.objects.select_for_update().get(pk=site_id)
    changed = [name for name in FACTS if name in facts and getattr(site, name) != facts[name]]
    sentences = [
        f"{FACTS[name].capitalize()}: {_say(getattr(site, name))} becomes {_say(facts[name])}."
        for name in changed
    ]
    for name in changed:
        setattr(site, name, facts[name])
    if changed:
        site.save(update_fields=changed)
    return _keep_change(site_id, SiteChange.About.FACTS, sentences, by, at)


@transaction.atomic
def set_own_figures(
    *, site_id: int, group: FigureGroup, figures: Iterable[OwnFigure], by: int, at: datetime
) -> str:
    """Keep the figures of one group that a site sets itself; what is not named is usual again.

    Args:
        site_id: The site.
        group: The group the figures are of.
        figures: The site's own, each with its reason.
        by: The account that sets them.
        at: The moment, aware.

    Returns:
        What was changed, in a sentence; empty for nothing.

    Raises:
        ParameterOutOfRange: If a figure is out of its range.
        PlanError: If one has no reason, or two contradict.
    """
    given = {figure.key: figure for figure in figures}
    for figure in given.values():
        check_figure(figure)
    site = Site.objects.select_for_update().get(pk=site_id)
    before = {figure.key: figure for figure in read_own(site.own_figures)}
    others = {key: one for key, one in before.items() if not key.startswith(f"{group.code}.")}
    together = {**others, **given}
    lab = read_limits(tuple(together.values())).lab
    if lab.ph_least >= lab.ph_most:
        raise PlanError(
            f"pH from {lab.ph_least:g} to {lab.ph_most:g} holds nothing. Set the lower one lower."
        )
    sentences = []
    for spec in group.specs:
        old, new = before.get(group.key(spec)), given.get(group.key(spec))
        if old != new:
            was = spec.words(old.value) if old else f"the usual {spec.words(spec.default)}"
            now = spec.words(new.value) if new else f"the usual {spec.words(spec.default)}"
            because = f", because: {new.reason.rstrip('.')}" if new else ""
            sentences.append(f"{group.name}, {spec.label}: {was} becomes {now}{because}.")
    site.own_figures = {
        key: {"value": one.value, "reason": one.reason} for key, one in sorted(together.items())
    }
    site.save(update_fields=["own_figures"])
    return _keep_change(site_id, SiteChange.About.FIGURES, sentences, by, at)


@transaction.atomic
def give_rate(
    *, site_id: int, activity: str, effort: Effort, reason: str, on: date, by: int, at: datetime
) -> str:
    """Give a site's own rate for one activity as a new version; learning goes on from there.

    Args:
        site_id: The site.
        activity: The rate's key.
        effort: Its new figures, person-minutes a unit.
        reason: Why, which becomes the rate's basis.
        on: The day from which it counts.
        by: The account that gives it.
        at: The moment, aware.

    Raises:
        RateMissing: If the site has no such rate.
        PlanError: If no reason is given.
    """
    if not reason.strip():
        raise PlanError("Write where these figures come from: a count, a day, another site.")
    Site.objects.select_for_update().get(pk=site_id)
    now = load_rate_table(site_id, on=on)
    old = now.find_rate(activity)
    new = replace(old, effort=effort, basis=reason.strip()[:200])
    if new == old:
        return ""
    newest = RateVersion.objects.filter(site_id=site_id, as_of__lte=on).order_by("as_of", "id")
    latest = newest.last()
    note = f"{activity} given by hand"
    given = load_given_rates(site_id, on=on)
    keep_rates(site_id=site_id, table=_put(given, new, on), note=note)
    if latest is not None and latest.learned:
        keep_rates(site_id=site_id, table=_put(now, new, on), note=note, learned=True)
    sentence = f"Rate “{activity}”: {_say_rate(old)} becomes {_say_rate(new)}, because: {reason}."
    return _keep_change(site_id, SiteChange.About.RATES, [sentence], by, at)


def _put(table: RateTable, new: Rate, on: date) -> RateTable:
    rates = tuple(new if rate.activity == new.activity else rate for rate in table.rates)
    if new not in rates:
        rates = tuple(sorted((*rates, new), key=lambda rate: rate.activity))
    return RateTable(on, rates)


def _say_rate(rate: Rate) -> str:
    effort = rate.effort
    return (
        f"{effort.low_min:g}, {effort.likely_min:g}, {effort.high_min:g} person-minutes a "
        f"{rate.unit}"
    )


def keep_people_change(*, site_id: int, sentence: str, by: int, at: datetime) -> str:
    """Keep in the site's history what was decided about its people; return the sentence."""
    return _keep_change(site_id, SiteChange.About.PEOPLE, [sentence], by, at)


def _keep_change(site_id: int, about: str, sentences: list[str], by: int, at: datetime) -> str:
    if not sentences:
        return ""
    sentence = " ".join(sentences)
    SiteChange.objects.create(site_id=site_id, about=about, at=at, by_id=by, sentence=sentence)
    return sentence


def _say(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "not known" if value in ("", None) else f"“{value}”"
