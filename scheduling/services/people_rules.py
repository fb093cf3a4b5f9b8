"""What a site decides about its people: from which age they may have an account of their own.

Front door: `set_own_account_age`. Each decision is kept in the site's history.
"""

from datetime import date, datetime

from django.db import transaction
from django.urls import reverse

from orchard.queries.roles import load_standings
from orchard.queries.sites import SiteRecord, load_sites
from orchard.services.roles import end_role
from orchard.services.site_facts import keep_people_change
from scheduling.domain.errors import PersonRefused
from scheduling.domain.people import ADULT_AGE
from scheduling.models import Message, PeopleRules, Person
from scheduling.queries.people_rules import AgePreview, YoungAccount, preview_account_age
from scheduling.services.addresses import build_address
from scheduling.services.outbox import Letter, put_letter

YOUNGEST_ACCOUNT = 13
"""No site lets anybody younger have an account: Regulation (EU) 2016/679, article 8(1), lets
states go down to 13 for a child's own agreement to an online service; most ask for more."""


def set_own_account_age(
    *, site_id: int, age: int, because: str, by: int, on: date, at: datetime
) -> AgePreview:
    """Let young people have an account of their own from an age; the guardian consents as before.

    Who has one and is younger than that loses it: the account holds no role here
    any more, and the guardian is told. The same age changes nothing.

    Args:
        site_id: The site.
        age: From 13 to 18; 18 lets nobody young have one.
        because: The reason, kept in the history.
        by: The account that decides.
        on: Today, at the site.
        at: The moment, aware.

    Raises:
        PersonRefused: If the age is out of range or no reason is given.
    """
    if not YOUNGEST_ACCOUNT <= age <= ADULT_AGE:
        raise PersonRefused(
            f"{age} years: give an age from {YOUNGEST_ACCOUNT} to {ADULT_AGE}; {ADULT_AGE} lets "
            "nobody young have an account."
        )
    if not because.strip():
        raise PersonRefused("Write why: the site's own law, a decision of the board.")
    with transaction.atomic():
        rules, _ = PeopleRules.objects.select_for_update().get_or_create(site_id=site_id)
        seen = preview_account_age(site_id, age, on=on)
        if not seen.is_change:
            return seen
        rules.own_account_age = age
        rules.save(update_fields=["own_account_age"])
        site = next(one for one in load_sites() if one.id == site_id)
        for young in seen.lose_theirs:
            _end_account(site, young, age, at)
        keep_people_change(site_id=site_id, sentence=_say(seen, because), by=by, at=at)
    return seen


def _say(seen: AgePreview, because: str) -> str:
    ended = f" Accounts ended: {len(seen.lose_theirs)}." if seen.lose_theirs else ""
    reason = " ".join(because.split()).rstrip(".")
    return f"Own accounts from {seen.before} become from {seen.after}, because: {reason}.{ended}"


def _end_account(site: SiteRecord, young: YoungAccount, age: int, at: datetime) -> None:
    person = Person.objects.get(pk=young.person_id)
    account = person.user_id
    if account is None:
        return
    for standing in load_standings(account):
        if standing.site_id == site.id:
            for kind in standing.kinds:
                end_role(user_id=account, site_id=site.id, kind=kind, at=at)
    person.user = None
    person.save(update_fields=["user"])
    if young.guardian_mail:
        letter = Letter(
            key=f"own-account/{site.id}/{young.person_id}/{at:%Y%m%d%H%M%S}",
            kind=Message.Kind.NOTICE,
            to=young.guardian_mail,
            subject=f"{person.first_name} has no account of their own any more: {site.name}",
            text=(
                f"At {site.name} somebody has an account of their own from {age} years on. "
                f"{person.first_name} is younger, so theirs is ended.\n\n"
                "What they are signed up for stays. You sign them up and withdraw them on your "
                f"page:\n{build_address(reverse('own_people', args=[site.slug]))}\n"
            ),
        )
        put_letter(letter, session=None, site_id=site.id, at=at)
