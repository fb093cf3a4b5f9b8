"""Start-up checks: what is safe on a laptop and not on a public server.

Each has a number that is never reused and a hint that says what to do.
`OrchardConfig.ready` imports this module; Django runs the rest. Not here: what
Django's own `check --deploy` looks at.
"""

from pathlib import Path
from urllib.parse import urlsplit

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import DatabaseError

from orchard.models import User

LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1", "[::1]", "testserver"})


def find_public_hosts() -> list[str]:
    """Return the allowed hosts that are not this machine itself."""
    return sorted(host for host in settings.ALLOWED_HOSTS if host not in LOOPBACK)


@register(Tags.security)
def check_debug(**_options: object) -> list[CheckMessage]:
    """Error pages with code and settings are for the developer's own machine."""
    hosts = find_public_hosts()
    if not (settings.DEBUG and hosts):
        return []
    return [
        Error(
            f"ORCHARD_DEBUG is on and the site answers to {', '.join(hosts)}: error pages would "
            "show people's data to anyone.",
            hint="Unset ORCHARD_DEBUG, or take the public names out of ORCHARD_HOSTS.",
            id="orchard.E001",
        )
    ]


@register(Tags.security)
def check_secret_key(**_options: object) -> list[CheckMessage]:
    """The key made on first use lies beside the database and leaves with every copy of it."""
    kept = Path(settings.DATA_DIR) / "secret_key"
    if not find_public_hosts() or not kept.exists() or kept.read_text() != settings.SECRET_KEY:
        return []
    return [
        Error(
            "A public site signs its sessions with the key that lies in the data folder.",
            hint="Set ORCHARD_SECRET_KEY to a long random text kept apart from the backups.",
            id="orchard.E002",
        )
    ]


@register(Tags.urls)
def check_base_url(**_options: object) -> list[CheckMessage]:
    """Links in mail and calendars must lead to the site that sent them."""
    base = urlsplit(settings.BASE_URL)
    hosts = find_public_hosts()
    if base.scheme not in {"http", "https"} or not base.hostname:
        return [
            Error(
                f"ORCHARD_BASE_URL is “{settings.BASE_URL}”, which is no address of a page.",
                hint="Write it as https://orchard.example, without a path.",
                id="orchard.E003",
            )
        ]
    found: list[CheckMessage] = []
    if hosts and base.hostname in LOOPBACK:
        found.append(
            Warning(
                f"The site answers to {', '.join(hosts)}, but links in mail and calendars lead "
                f"to {settings.BASE_URL}.",
                hint="Set ORCHARD_BASE_URL to the public address.",
                id="orchard.W004",
            )
        )
    if settings.SECURE_SSL_REDIRECT and base.scheme == "http":
        found.append(
            Warning(
                f"ORCHARD_HTTPS is on, but links in mail and calendars begin with "
                f"{base.scheme}://{base.hostname}.",
                hint="Write ORCHARD_BASE_URL with https.",
                id="orchard.W005",
            )
        )
    return found


@register(Tags.security, deploy=True)
def check_keepers(**_options: object) -> list[CheckMessage]:
    """Who keeps the records sees everything: a mailbox alone should not open that.

    Asks the database, so it runs with `check --deploy` only.
    """
    kinds = [Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN]
    guarded = Authenticator.objects.filter(type__in=kinds).values("user_id")
    keepers = User.objects.filter(is_superuser=True, is_active=True).exclude(pk__in=guarded)
    try:
        bare = sorted(keepers.values_list("email", flat=True))
    except DatabaseError:  # before the first migration there are no accounts to ask about
        return []
    if not bare:
        return []
    if settings.SECOND_FACTOR_REQUIRED:
        follows = "The records stay shut to them until they have one"
    else:
        follows = "ORCHARD_SECOND_FACTOR is off, so the mailbox alone opens every record"
    return [
        Warning(
            f"Keepers of the records without a second factor: {', '.join(bare)}. {follows}.",
            hint="Sign in as each and set one up at /account/second-factor/, or end the account.",
            id="orchard.W006",
        )
    ]
