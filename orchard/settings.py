"""Settings, all from the environment, safe when nothing is set.

With no variables the project runs on this machine alone: SQLite in `.local/`,
a secret key made once and kept there, mail written to the terminal, and no
host but the loopback. Each variable is listed in DEVELOPERS.md.
"""

import secrets
from contextlib import suppress
from pathlib import Path

import environ
from csp.constants import NONE, SELF

env = environ.Env()

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.str("ORCHARD_DATA", default=str(BASE_DIR / ".local")))
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)  # ages and consents: not for other accounts


def kept_secret_key() -> str:
    """Return the key of this machine's own data folder, made on first use."""
    path = DATA_DIR / "secret_key"
    if not path.exists():
        draft = DATA_DIR / f"secret_key.{secrets.token_hex(4)}"
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(64))
        # A link, not a move: of two processes that start together the first's key stays.
        with suppress(FileExistsError):
            path.hardlink_to(draft)
        draft.unlink()
    return path.read_text()


SECRET_KEY = env.str("ORCHARD_SECRET_KEY", default="") or kept_secret_key()
DEBUG = env.bool("ORCHARD_DEBUG", default=False)
ALLOWED_HOSTS = env.list("ORCHARD_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
HTTPS = env.bool("ORCHARD_HTTPS", default=False)


def find_own_address() -> str:
    """Return where a public server's first host is reached, else where the demo serves."""
    named = [host for host in env.list("ORCHARD_HOSTS", default=[]) if host[:1] not in (".", "*")]
    return f"https://{named[0]}" if HTTPS and named else "http://127.0.0.1:8000"


BASE_URL = env.str("ORCHARD_BASE_URL", default=find_own_address())

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "bootstrap",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "django_htmx",
    "django_tasks",
    "django_tasks_db",
    "rules.apps.AutodiscoverRulesConfig",
    "orchard",
    "scheduling",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    # Before what redirects by itself, so that such answers have it too.
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "orchard.views.headers.keep_nothing",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "orchard.urls"
WSGI_APPLICATION = "orchard.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

# --- database: SQLite here, PostgreSQL by one variable ----------------------------------
DATABASES = {
    "default": env.db_url(
        "ORCHARD_DATABASE_URL", default=f"sqlite:///{DATA_DIR / 'orchard.sqlite3'}"
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Immediate transactions take the write lock at once: without that, two writers
    # that both began by reading fail with "database is locked" despite the timeout.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
        ),
    }
else:
    # Bound by the server, a question is parsed and planned once a connection and not at every
    # press: half of the database's work. A pooler that hands connections round by transaction
    # cannot have that.
    DATABASES["default"]["OPTIONS"] = {
        "server_side_binding": True,
        "prepare_threshold": None if env.bool("ORCHARD_BEHIND_POOLER", default=False) else 5,
        **DATABASES["default"].get("OPTIONS", {}),
    }
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
# A server process keeps its connection: opening one costs more than a sign-up's own questions.
DATABASES["default"].setdefault("CONN_MAX_AGE", 60)

# --- people and sign-in -------------------------------------------------------------------
AUTH_USER_MODEL = "orchard.User"
AUTHENTICATION_BACKENDS = [
    "rules.permissions.ObjectPermissionBackend",
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
LOGIN_URL = "account_request_login_code"
LOGIN_REDIRECT_URL = "home"
ACCOUNT_LOGOUT_REDIRECT_URL = "home"
ACCOUNT_ADAPTER = "orchard.views.sign_in.SignInAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 600
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
# A coordinator's account opens every person's page: on a public server a mailbox alone is not
# enough for it. Off on one's own machine, so that the demo can be tried.
SECOND_FACTOR_REQUIRED = env.bool("ORCHARD_SECOND_FACTOR", default=HTTPS)
MFA_ADAPTER = "orchard.views.sign_in.SecondFactorAdapter"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_TOTP_ISSUER = "Orchard stewardship days"
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not HTTPS  # browsers allow it for localhost alone

# --- what the browser may load: only what this server sends ---------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],  # Bootstrap draws its control marks as data URLs
        "connect-src": [SELF],
        "font-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
if env.bool("ORCHARD_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
CSRF_TRUSTED_ORIGINS = env.list("ORCHARD_TRUSTED_ORIGINS", default=[])

# --- searches: how long, and where they run ------------------------------------------------------
SEASON_SECONDS = env.float("ORCHARD_SEASON_SECONDS", default=15.0)
ROSTER_SECONDS = env.float("ORCHARD_ROSTER_SECONDS", default=8.0)
# What keeps a season's sessions pleasant, in percent; proposals (scheduling.domain.season_comfort).
SEASON_KEPT_FREE_PERCENT = env.int("ORCHARD_SEASON_KEPT_FREE_PERCENT", default=10)
SEASON_HEAVY_MOST_PERCENT = env.int("ORCHARD_SEASON_HEAVY_MOST_PERCENT", default=70)
SEASON_YOUNG_PERCENT = env.int("ORCHARD_SEASON_YOUNG_PERCENT", default=50)
SEARCH_SECONDS_MOST = env.float("ORCHARD_SEARCH_SECONDS_MOST", default=600.0)
# Kept in the database and carried out by `manage.py search_worker`; no broker is needed.
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

# --- static files, mail, language ------------------------------------------------------------
STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)  # or the file server warns at every start
WHITENOISE_USE_FINDERS = True  # nothing to collect on a laptop; collectstatic works as well
CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"
vars().update(env.email_url("ORCHARD_EMAIL_URL", default="consolemail://"))
DEFAULT_FROM_EMAIL = env.str("ORCHARD_FROM_EMAIL", default="orchard@example.org")
LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"  # each site has its own zone; the server's is never shown
USE_I18N = True
USE_TZ = True
# On disk, so that several server processes count sign-in attempts together.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "cache",
    }
}
SILENCED_SYSTEM_CHECKS: list[str] = []
