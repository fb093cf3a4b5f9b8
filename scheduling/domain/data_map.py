"""Every place where something about a person is kept: what for, how long, what erasing does.

A test holds this against the models: a new column that is neither here nor among
what is not about people fails it. Retention follows the house's reference,
“minors' personal data”: proposed figures that a site holds against its own law.
Not for deleting: `services.erasure` does what this says.
"""

from dataclasses import dataclass
from enum import StrEnum

DAYS_MINORS_ATTENDANCE = 30
DAYS_MAIL = 90
DAYS_VIEWS = 365
DAYS_CONSENT_AFTER_END = 3 * 365
DAYS_IDLE_ADULT = 2 * 365
DAYS_REQUESTS = 365


class OnErasure(StrEnum):
    """What erasing a person does to a column."""

    EMPTY = "emptied"  # the row stays without it
    DELETE = "deleted with its row"
    REPLACE = "the name is replaced"  # what they signed stays, signed by nobody named
    KEEP = "kept"  # tells nothing about them once the rest is gone


@dataclass(frozen=True, slots=True)
class KeptFact:
    """One kind of fact about people: where it is, why it is kept, how long."""

    model: str
    fields: tuple[str, ...]
    purpose: str
    retention: str
    on_erasure: OnErasure


_WHILE_THEY_COME = "while they come, and two years after their last session"
_WITH_RECORDS = "as long as the record it signs"
_MAIL = f"{DAYS_MAIL} days after it was sent"

DATA_MAP: tuple[KeptFact, ...] = (
    KeptFact(
        "orchard.User",
        ("email", "password", "last_login", "date_joined", "is_active", "is_staff", "is_superuser",
         "units", "groups", "user_permissions"),
        "signing in by a mailed code, and writing to them", _WHILE_THEY_COME, OnErasure.DELETE,
    ),
    KeptFact(
        "orchard.Role", ("user", "kind", "granted_at", "ended_at"),
        "who may do what", "while the account is there", OnErasure.DELETE,
    ),
    KeptFact(
        "orchard.Role", ("granted_by", "ended_by"),
        "who gave or took a role", _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "orchard.Site", ("organiser_name", "organiser_email"),
        "whom people write to; an office, not a private person", "while the site is there",
        OnErasure.KEEP,
    ),
    KeptFact(
        "orchard.Locate", ("private_lines_checked_by",),
        "who looked for private lines before digging", _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "orchard.SiteChange", ("by",), "who changed the site's facts", _WITH_RECORDS,
        OnErasure.EMPTY,
    ),
    KeptFact(
        "orchard.HoleRecord", ("by",), "who recorded a hole", _WITH_RECORDS, OnErasure.EMPTY,
    ),
    KeptFact(
        "orchard.PlanVersion", ("by",), "who changed a plan", _WITH_RECORDS, OnErasure.EMPTY,
    ),
    KeptFact(
        "orchard.Reading", ("by",), "who took a reading", _WITH_RECORDS, OnErasure.EMPTY,
    ),
    KeptFact(
        "orchard.GrowthReading", ("by",), "who measured", _WITH_RECORDS, OnErasure.EMPTY,
    ),
    KeptFact(
        "orchard.Upload", ("by",), "who brought a file", _WITH_RECORDS, OnErasure.EMPTY,
    ),
    KeptFact(
        "scheduling.Person",
        ("user", "first_name", "family_name", "birth_year", "birth_month", "guardian",
         "restrictions", "preferences", "experience", "wished_skills", "heavy_liking"),
        "naming them on the roster, age rules, giving work that suits, and telling the lead whom "
        "to hear before the start", _WHILE_THEY_COME,
        OnErasure.EMPTY,
    ),
    KeptFact(
        "scheduling.Person", ("code", "active", "erased_at"),
        "telling rows apart in totals", "while the site is there", OnErasure.KEEP,
    ),
    KeptFact(
        "scheduling.SkillRecord", ("person", "skill", "last_day", "signed_off_by"),
        "who may use which tool", _WHILE_THEY_COME, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.CompanyWish", ("person", "other"),
        "putting those into one crew who both wish it", _WHILE_THEY_COME, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.SaidSkill", ("person", "skill", "said_at"),
        "what they say they can do, until somebody sees it", "until it is signed off or dropped",
        OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.CheckRecord",
        ("person", "scheme", "issued_on", "last_day", "seen_by", "declared_on", "trained_on"),
        "who may supervise young people; the certificate itself is never kept",
        _WHILE_THEY_COME, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.ConsentRecord",
        ("person", "version", "signed_by", "first_day", "last_day", "kinds", "photographs",
         "on_paper_seen_by", "withdrawn_on"),
        "that a guardian agreed", f"{DAYS_CONSENT_AFTER_END} days after its last day, a claim's "
        "usual time; look up your own law", OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.DayContact", ("person", "name", "telephone"),
        "whom to call on the day", _WHILE_THEY_COME, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.FirstAidNote", ("person", "text", "written_at", "keep_until"),
        "what a first aider must know on the day", "a week after the last session signed up for",
        OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.NoteView", ("person", "viewed_by", "session", "at"),
        "who looked at a first-aid note", f"{DAYS_VIEWS} days", OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.SchoolGroup",
        ("liaison", "pupils_by_age", "helpers", "checked_helpers", "needing_own_adult", "needs",
         "wished_kinds", "staff", "name", "school"),
        "a class as counts by age, its liaison and staff; no pupil is named",
        "while the class comes", OnErasure.KEEP,
    ),
    KeptFact(
        "scheduling.VisitNumbers",
        ("pupils_by_age", "staff", "helpers", "checked_helpers", "needing_own_adult", "said_at"),
        "how many of a class come to one session, as counts by age", "with the class's sign-up",
        OnErasure.KEEP,
    ),
    KeptFact(
        "scheduling.ClassRequest",
        ("liaison", "group", "name", "school", "pupils_by_age", "staff", "helpers", "access_needs",
         "asked_at"),
        "when a school could come and with how many; what the site must have ready, never whose "
        "need it is", f"{DAYS_REQUESTS} days", OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.ClassRequest", ("answer", "answered_by"), "who answered a school, and what",
        f"{DAYS_REQUESTS} days", OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.SignUp",
        ("person", "group", "state", "at", "line", "party", "why", "offer_until"),
        "who comes when, who waits", f"young people {DAYS_MINORS_ATTENDANCE} days after the "
        "session; adults while they come", OnErasure.KEEP,
    ),
    KeptFact(
        "scheduling.RosterPlace", ("person", "group", "pupil"),
        "who worked where", f"young people {DAYS_MINORS_ATTENDANCE} days after the session; adults "
        "while they come", OnErasure.KEEP,
    ),
    KeptFact(
        "scheduling.Roster", ("unfilled", "made_by"),
        "sentences on who has no place", "with the roster", OnErasure.EMPTY,
    ),
    KeptFact(
        "scheduling.RosterLock", ("person", "group", "pupil", "made_by"),
        "places a coordinator fixed", "until the session is over", OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.SearchRun", ("requested_by", "messages", "asked", "answer"),
        "who asked for a search, what had happened that day, and its sentences",
        f"{DAYS_MAIL} days", OnErasure.EMPTY,
    ),
    KeptFact(
        "scheduling.InviteState",
        ("attendee_name", "attendee_email", "summary", "answer", "answered_at", "uid"),
        "what their calendar was told", _MAIL, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.Message", ("to", "subject", "text", "calendar", "key", "failure"),
        "mail waiting and sent", _MAIL, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.KeptReply", ("uid", "attendee", "answer", "reason", "content"),
        "what their calendar answered", _MAIL, OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.MailWish", ("address", "stopped_at"),
        "who wants no reminders", "while they want none", OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.CalendarFeed", ("user", "group", "secret"),
        "the address their calendar reads", "until it is ended", OnErasure.DELETE,
    ),
    KeptFact(
        "scheduling.ConsentForm", ("made_by",), "who wrote the form", _WITH_RECORDS,
        OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.WeatherSheet", ("typed_by", "typed_name"), "who typed the forecast",
        _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.SessionGround", ("noted_by", "noted_name"), "who felt the ground",
        _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.SessionRecord", ("recorded_by", "near_misses"),
        "what happened and nearly happened; written without names", _WITH_RECORDS,
        OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.WorkRecord", ("note",), "remarks on the work, written without names",
        _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.RuleSetVersion", ("confirmed_by", "confirmed_name", "because"),
        "who holds the site to a figure", _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.Adoption", ("adopted_by", "adopted_name", "ended_name"),
        "who adopted a rule set", _WITH_RECORDS, OnErasure.REPLACE,
    ),
    KeptFact(
        "scheduling.Waiver",
        ("text", "reason", "proposed_by", "proposed_name", "confirmed_by", "confirmed_name",
         "withdrawn_name"),
        "who set a finding aside, and why", _WITH_RECORDS, OnErasure.REPLACE,
    ),
)  # fmt: skip

NOT_ABOUT_PEOPLE: dict[str, tuple[str, ...]] = {
    "orchard.Site": ("*",),
    "orchard.SiteChange": ("*",),
    "orchard.Area": ("*",),
    "orchard.Tree": ("*",),
    "orchard.Corridor": ("*",),
    "orchard.Locate": ("*",),
    "orchard.Pocket": ("*",),
    "orchard.HoleRecord": ("*",),
    "orchard.Peg": ("*",),
    "orchard.Plan": ("*",),
    "orchard.PlanTreatment": ("*",),
    "orchard.PlanVersion": ("*",),
    "orchard.RateVersion": ("*",),
    "orchard.Rate": ("*",),
    "orchard.Reading": ("*",),
    "orchard.GrowthReading": ("*",),
    "orchard.Role": ("site",),
    "orchard.Tool": ("*",),
    "orchard.Material": ("*",),
    "orchard.Delivery": ("*",),
    "orchard.Offer": ("*",),
    "orchard.StockCount": ("*",),
    "orchard.Task": ("*",),
    "orchard.Upload": ("*",),
    "orchard.User": (),
    "scheduling.PeopleRules": ("site", "own_account_age"),
    "scheduling.ConsentForm": ("site", "version", "parts", "made_at", "because", "asks_anew"),
    "scheduling.DayContact": (),
    "scheduling.FirstAidNote": (),
    "scheduling.NoteView": (),
    "scheduling.Erasure": ("site", "at", "asked_by", "rows"),
    "scheduling.WeatherSheet": ("*",),
    "scheduling.SessionGround": ("*",),
    "scheduling.SchoolGroup": ("site", "code"),
    "scheduling.RosterLock": ("session", "round", "task", "made_at"),
    "scheduling.InviteState": ("session", "sequence", "method", "fingerprint"),
    "scheduling.Message": (
        "session", "site", "kind", "method", "sequence", "made_at", "taken_at", "sent_at", "tries",
        "next_try_at", "given_up",
    ),
    "scheduling.KeptReply": ("site", "session", "digest", "read_at", "outcome"),
    "scheduling.MailWish": ("site",),
    "scheduling.CalendarFeed": ("site", "made_at", "revoked_at", "fingerprint", "changed_at"),
    "scheduling.Person": ("site",),
    "scheduling.SkillRecord": (),
    "scheduling.CompanyWish": (),
    "scheduling.SaidSkill": (),
    "scheduling.VisitNumbers": ("signup",),
    "scheduling.ClassRequest": (
        "site", "weekdays", "sessions", "wished_kinds", "state", "offered", "answered_at",
    ),
    "scheduling.CheckRecord": (),
    "scheduling.ConsentRecord": (),
    "scheduling.SessionRecord": (
        "session", "recorded_at", "people", "singles_signed_up", "classes_signed_up",
    ),
    "scheduling.WorkRecord": (
        "record", "task", "units", "adult_min", "activity", "planned_min_per_unit",
    ),
    "scheduling.Roster": (
        "session", "version", "state", "status", "value", "bound", "seconds", "seed", "engine",
        "made_at", "published_at",
    ),
    "scheduling.RosterPlace": ("roster", "round", "task"),
    "scheduling.RosterUnits": ("*",),
    "scheduling.RuleSetVersion": ("*",),
    "scheduling.Adoption": ("*",),
    "scheduling.SearchRun": (
        "site", "kind", "session", "season", "state", "seconds", "seed", "requested_at", "worker",
        "started_at", "heartbeat_at", "ended_at", "stages", "roster", "plan", "status",
        "found_seconds", "engine", "problem_digest",
    ),
    "scheduling.SearchWorker": ("*",),
    "scheduling.Season": ("*",),
    "scheduling.Session": ("*",),
    "scheduling.SeasonPlan": ("*",),
    "scheduling.PlannedWork": ("*",),
    "scheduling.SignUp": ("session",),
    "scheduling.Waiver": ("session", "rule", "digest", "proposed_at", "confirmed_at",
                          "withdrawn_at"),
}  # fmt: skip
"""Columns that say nothing about a person. A star stands for all of a model's columns that hold no
person, no name and no address by their kind; those are still asked for in `DATA_MAP`."""

NEVER_KEPT = (
    "birth_date", "date_of_birth", "dob", "address", "street", "postcode", "photo_", "picture",
    "passport", "id_number", "body_weight", "weight_kg", "sex", "gender", "immunisation",
    "diagnosis", "certificate", "latitude_now", "reliability", "score",
)  # fmt: skip
"""Parts of column names that no table about people may have (the house’s reference)."""
