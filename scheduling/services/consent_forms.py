"""A coordinator writes the consent form: every change is a new version, never an edited one.

Front door: `publish_form`. A version says whether it asks guardians anew, who are
then told by mail, or lets what was signed stand. Not for signatures: `consents`.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime

from django.db import transaction
from django.urls import reverse

from orchard.queries.sites import SiteRecord, load_sites
from orchard.services.sites import set_consent_version
from scheduling.domain.consent_form import FormPart, check_parts, name_changes
from scheduling.domain.errors import ConsentFormUnfit
from scheduling.domain.wording import listed
from scheduling.models import ConsentForm, Message
from scheduling.queries.consents import (
    WORDS_OF_THE_HOUSE,
    HeldConsent,
    load_form_in_use,
    load_held_consents,
)
from scheduling.services.addresses import build_address
from scheduling.services.outbox import Letter, put_letter


@dataclass(frozen=True, slots=True)
class FormDraft:
    """A form as written and not published: what it follows, its parts, why, and what it asks."""

    follows: str
    parts: tuple[FormPart, ...]
    because: str
    asks_anew: bool


@dataclass(frozen=True, slots=True)
class Published:
    """What publishing did: the version in use now, and how many letters went to guardians."""

    version: str
    is_new: bool
    letters: int


def tidy_parts(site_id: int, words: Mapping[str, str]) -> tuple[FormPart, ...]:
    """Return the parts of the form in use with other words, line ends and blanks made even."""
    _, parts = load_form_in_use(site_id)
    return tuple(
        replace(part, words="\n".join(words.get(part.key, "").split("\r\n")).strip())
        for part in parts
    )


def publish_form(*, site_id: int, draft: FormDraft, by: str, at: datetime, on: date) -> Published:
    """Make a new version of the form and use it from now on; the same words make none.

    Args:
        site_id: The site.
        draft: The form; `because` is told to the guardians who are asked anew.
        by: Who publishes it, by name.
        at: The moment, aware.
        on: Today, at the site.

    Raises:
        ConsentFormUnfit: If a part is missing or unfit, nothing says why, or somebody
            else published a version meanwhile.
    """
    check_parts(draft.parts)
    with transaction.atomic():
        version, old = load_form_in_use(site_id)
        if version != draft.follows:
            raise ConsentFormUnfit(_overtaken(version))
        if not name_changes(old, draft.parts):
            return Published(version, is_new=False, letters=0)
        if not draft.because.strip():
            raise ConsentFormUnfit("Say what is new, in a sentence guardians understand.")
        held = load_held_consents(site_id, at=at, on=on) if draft.asks_anew else ()
        if not ConsentForm.objects.filter(site_id=site_id, version=version).exists():
            first = FormDraft("", old, "", asks_anew=True)
            _keep_form(site_id, version, first, WORDS_OF_THE_HOUSE, at)
        new = _next_version(site_id, version)
        if not set_consent_version(site_id=site_id, version=new, instead_of=version):
            raise ConsentFormUnfit(_overtaken("a newer one"))
        _keep_form(site_id, new, draft, by, at)
        letters = _tell_guardians(site_id, new, draft.because, held, at)
    return Published(new, is_new=True, letters=letters)


def _overtaken(version: str) -> str:
    return (
        f"Somebody else published version {version} while you were writing. Copy your words, "
        "open the page again and write them into that version."
    )


def _keep_form(site_id: int, version: str, draft: FormDraft, by: str, at: datetime) -> None:
    ConsentForm.objects.create(
        site_id=site_id,
        version=version,
        parts=[asdict(part) for part in draft.parts],
        made_at=at,
        made_by=by[:120],
        because=" ".join(draft.because.split())[:300],
        asks_anew=draft.asks_anew,
    )


def _next_version(site_id: int, version: str) -> str:
    taken = set(ConsentForm.objects.filter(site_id=site_id).values_list("version", flat=True))
    stem, _, last = version.rpartition(".") if "." in version else ("", "", version)
    number = int(last) if last.isdecimal() else 1
    if not last.isdecimal():
        stem = version[:16]  # a version's name has at most 20 characters
    while True:
        number += 1
        candidate = f"{stem}.{number}" if stem else str(number)
        if candidate not in taken:
            return candidate


def _tell_guardians(
    site_id: int, version: str, because: str, held: tuple[HeldConsent, ...], at: datetime
) -> int:
    site = next(one for one in load_sites() if one.id == site_id)
    told: dict[str, list[HeldConsent]] = {}
    for consent in held:
        if consent.mail_to:
            told.setdefault(consent.mail_to, []).append(consent)
    letters = [
        _write_letter(site, version, because, children) for _, children in sorted(told.items())
    ]
    return sum(put_letter(each, session=None, site_id=site_id, at=at) for each in letters)


def _write_letter(
    site: SiteRecord, version: str, because: str, children: list[HeldConsent]
) -> Letter:
    page = build_address(reverse("own_people", args=[site.slug]))
    names = listed(each.name for each in children)
    text = (
        f"{site.name} has a new consent form, version {version}.\n\n"
        f"What is new: {because.strip()}\n\n"
        f"What you signed for {names} does not hold any more. Read the new form and sign it "
        f"before the next session; without it they cannot work. Sign-ups stay.\n{page}\n\n"
        "If you would rather sign on paper, ask the coordinator for a printed form.\n"
    )
    return Letter(
        key=f"consent-form/{site.id}/{version}/{children[0].person_id}",
        kind=Message.Kind.NOTICE,
        to=children[0].mail_to,
        subject=f"A new consent form to sign: {site.name}",
        text=text,
    )
