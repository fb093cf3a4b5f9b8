"""Reads a site's consent form: the version in use, the older ones that still hold, who signed.

Not for signing or publishing: `services.consents` and `services.consent_forms`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import zip_longest

from orchard.queries.sites import get_site_facts
from scheduling.domain.consent_form import USUAL_PARTS, FormPart, name_changes
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import ConsentForm, ConsentRecord, Person, SignUp

WORDS_OF_THE_HOUSE = "the usual words"


@dataclass(frozen=True, slots=True)
class FormVersion:
    """One version of a site's form; `made_at` is None for usual words nobody published yet."""

    version: str
    parts: tuple[FormPart, ...]
    made_at: datetime | None
    made_by: str
    because: str
    asks_anew: bool
    changed: tuple[str, ...]  # headings of what it says otherwise than the version before
    is_in_use: bool
    holds: bool  # whether consents signed under it count, as far as their days go
    signed: int


@dataclass(frozen=True, slots=True)
class HeldConsent:
    """A young person whose consent holds today, as a new version would find them."""

    person_id: int
    name: str
    guardian: str
    mail_to: str
    last_day: date
    sessions: tuple[str, ...]  # codes of what they are signed up for and is to come


def load_form_in_use(site_id: int) -> tuple[str, tuple[FormPart, ...]]:
    """Return the version and the parts of the form a site uses; the usual words until it wrote."""
    version = get_site_facts(site_id).consent_version
    row = ConsentForm.objects.filter(site_id=site_id, version=version).first()
    return version, _read_parts(row) if row else USUAL_PARTS


def load_versions_that_hold(site_id: int, in_use: str = "") -> tuple[str, ...]:
    """Return the version in use, looked up if not given, and the older ones it lets stand."""
    in_use = in_use or get_site_facts(site_id).consent_version
    rows = ConsentForm.objects.filter(site_id=site_id).order_by("-made_at", "-pk")
    return _hold(tuple(rows.only("version", "asks_anew")), in_use)


def load_form_versions(site_id: int) -> tuple[FormVersion, ...]:
    """Return every version of a site's form, the newest first."""
    in_use = get_site_facts(site_id).consent_version
    rows = tuple(ConsentForm.objects.filter(site_id=site_id).order_by("-made_at", "-pk"))
    holding = _hold(rows, in_use)
    signed = _count_signed(site_id)
    found = []
    for row, before in zip_longest(rows, rows[1:]):
        parts = _read_parts(row)
        found.append(
            FormVersion(
                version=row.version,
                parts=parts,
                made_at=row.made_at,
                made_by=row.made_by,
                because=row.because,
                asks_anew=row.asks_anew,
                changed=name_changes(_read_parts(before), parts) if before else (),
                is_in_use=row.version == in_use,
                holds=row.version in holding,
                signed=signed.get(row.version, 0),
            )
        )
    if all(row.version != in_use for row in rows):
        found.insert(0, _of_the_house(in_use, signed.get(in_use, 0)))
    return tuple(found)


def find_form_version(site_id: int, version: str) -> FormVersion | None:
    """Return one version of a site's form, or None."""
    return next((one for one in load_form_versions(site_id) if one.version == version), None)


def load_held_consents(site_id: int, *, at: datetime, on: date) -> tuple[HeldConsent, ...]:
    """Return the young people whose consent holds today, by name."""
    holding = load_versions_that_hold(site_id)
    records = (
        ConsentRecord.objects.filter(
            person__site_id=site_id,
            person__active=True,
            version__in=holding,
            first_day__lte=on,
            last_day__gte=on,
        )
        .exclude(withdrawn_on__lte=on)
        .select_related("person__guardian__user")
    )
    until: dict[int, date] = {}
    people: dict[int, Person] = {}
    for record in records:
        person = record.person
        if age_on(person.birth_year, person.birth_month, on) < ADULT_AGE:
            people[person.pk] = person
            until[person.pk] = max(until.get(person.pk, on), record.last_day)
    coming = _coming(people, at)
    ordered = sorted(people.values(), key=lambda each: (str(each), each.pk))
    return tuple(
        HeldConsent(
            person_id=person.pk,
            name=str(person),
            guardian=str(person.guardian) if person.guardian else "",
            mail_to=_address_of(person.guardian),
            last_day=until[person.pk],
            sessions=coming.get(person.pk, ()),
        )
        for person in ordered
    )


def _address_of(guardian: Person | None) -> str:
    account = guardian.user if guardian is not None else None
    return account.email if account is not None and account.is_active else ""


def _coming(people: Iterable[int], at: datetime) -> dict[int, tuple[str, ...]]:
    rows = SignUp.objects.filter(
        person_id__in=list(people), state=SignUp.State.CONFIRMED, session__starts_at__gt=at
    ).order_by("session__starts_at", "session__code")
    found: dict[int, tuple[str, ...]] = {}
    for person_id, code in rows.values_list("person_id", "session__code"):
        if person_id is not None:
            found[person_id] = (*found.get(person_id, ()), code)
    return found


def _hold(rows: tuple[ConsentForm, ...], in_use: str) -> tuple[str, ...]:
    """Return versions from the one in use back to the last that asked everybody anew."""
    versions = [row.version for row in rows]
    if in_use not in versions:
        return (in_use,)
    held = []
    for row in rows[versions.index(in_use) :]:
        held.append(row.version)
        if row.asks_anew:
            break
    return tuple(held)


def _count_signed(site_id: int) -> dict[str, int]:
    found: dict[str, set[int]] = {}
    rows = ConsentRecord.objects.filter(person__site_id=site_id)
    for version, person_id in rows.values_list("version", "person_id"):
        found.setdefault(version, set()).add(person_id)
    return {version: len(people) for version, people in found.items()}


def _of_the_house(version: str, signed: int) -> FormVersion:
    return FormVersion(
        version=version,
        parts=USUAL_PARTS,
        made_at=None,
        made_by=WORDS_OF_THE_HOUSE,
        because="",
        asks_anew=True,
        changed=(),
        is_in_use=True,
        holds=True,
        signed=signed,
    )


def _read_parts(row: ConsentForm) -> tuple[FormPart, ...]:
    return tuple(FormPart(**part) for part in row.parts)
