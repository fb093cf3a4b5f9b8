"""The keepers' pages for people, sessions, sign-ups, rosters and mail.

Who may use them is decided once, in `orchard.admin`.
"""

from django.contrib import admin
from django.http import HttpRequest

from scheduling import models


class SkillInline(admin.TabularInline):
    """Skills somebody signed off."""

    model = models.SkillRecord
    extra = 0


class CheckInline(admin.TabularInline):
    """Background checks that somebody saw."""

    model = models.CheckRecord
    extra = 0


class ConsentInline(admin.TabularInline):
    """Consents for a young person."""

    model = models.ConsentRecord
    fk_name = "person"
    extra = 0
    autocomplete_fields = ("signed_by",)


@admin.register(models.Person)
class PersonAdmin(admin.ModelAdmin):
    """People with what is on file about them."""

    list_display = ("code", "first_name", "family_name", "site", "guardian", "active")
    list_filter = ("site", "active")
    search_fields = ("code", "first_name", "family_name", "user__email")
    autocomplete_fields = ("user", "guardian")
    inlines = (SkillInline, CheckInline, ConsentInline)


@admin.register(models.SchoolGroup)
class SchoolGroupAdmin(admin.ModelAdmin):
    """School classes: counts by age, never names."""

    list_display = ("code", "name", "school", "liaison", "site")
    search_fields = ("code", "name", "school")
    autocomplete_fields = ("liaison", "staff")


class SessionInline(admin.TabularInline):
    """The sessions of a season."""

    model = models.Session
    extra = 0
    fields = ("code", "title", "starts_at", "rounds", "capacity", "state")
    show_change_link = True


@admin.register(models.Season)
class SeasonAdmin(admin.ModelAdmin):
    """Seasons with their sessions."""

    list_display = ("code", "name", "site")
    search_fields = ("code", "name")
    inlines = (SessionInline,)


@admin.register(models.Session)
class SessionAdmin(admin.ModelAdmin):
    """Sessions."""

    list_display = ("code", "title", "starts_at", "state", "capacity", "season")
    list_filter = ("season", "state")
    search_fields = ("code", "title")
    date_hierarchy = "starts_at"


@admin.register(models.SignUp)
class SignUpAdmin(admin.ModelAdmin):
    """Sign-ups."""

    list_display = ("session", "person", "group", "state", "at")
    list_filter = ("state", "session")
    search_fields = ("person__first_name", "person__family_name", "group__name")
    autocomplete_fields = ("session", "person", "group")


class ReadOnlyAdmin(admin.ModelAdmin):
    """What the planner or the outbox wrote: to be read, never edited by hand."""

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002
        """Refuse."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: object = None) -> bool:  # noqa: ARG002
        """Refuse."""
        return False


class PlannedWorkInline(admin.TabularInline):
    """The work a season plan gives to sessions."""

    model = models.PlannedWork
    extra = 0


@admin.register(models.SeasonPlan)
class SeasonPlanAdmin(ReadOnlyAdmin):
    """Answers of the season planner."""

    list_display = ("season", "made_at", "status", "value", "bound", "current")
    inlines = (PlannedWorkInline,)


@admin.register(models.Roster)
class RosterAdmin(ReadOnlyAdmin):
    """Rosters, all versions."""

    list_display = ("session", "version", "state", "status", "made_at", "published_at")
    list_filter = ("state", "status")


@admin.register(models.RosterLock)
class RosterLockAdmin(ReadOnlyAdmin):
    """Places fixed before a search; they are fixed and released on the site's own pages."""

    list_display = ("session", "person", "group", "pupil", "round", "task", "made_at")


@admin.register(models.SearchRun)
class SearchRunAdmin(ReadOnlyAdmin):
    """Searches, all that were ever asked for."""

    list_display = ("kind", "session", "season", "state", "status", "requested_at", "ended_at")
    list_filter = ("kind", "state")


@admin.register(models.SearchWorker)
class SearchWorkerAdmin(ReadOnlyAdmin):
    """Workers that gave a sign of life lately."""

    list_display = ("name", "started_at", "beat_at")


@admin.register(models.RuleSetVersion)
class RuleSetVersionAdmin(ReadOnlyAdmin):
    """Rule sets, every version; a figure is changed on the site's own pages."""

    list_display = ("code", "version", "title", "site", "status", "confirmed_name", "created_at")
    list_filter = ("status",)
    search_fields = ("code", "title")


@admin.register(models.Adoption)
class AdoptionAdmin(ReadOnlyAdmin):
    """Who adopted which rule set when, and who ended it."""

    list_display = ("rule_set", "site", "group", "adopted_on", "adopted_name", "ended_on")


@admin.register(models.Waiver)
class WaiverAdmin(ReadOnlyAdmin):
    """Findings waived by two people, withdrawn ones too."""

    list_display = ("session", "rule", "proposed_name", "confirmed_name", "withdrawn_at")
    list_filter = ("rule",)


@admin.register(models.WeatherSheet)
class WeatherSheetAdmin(ReadOnlyAdmin):
    """Forecasts as typed."""

    list_display = ("session", "typed_name", "typed_at")


@admin.register(models.InviteState)
class InviteStateAdmin(ReadOnlyAdmin):
    """What calendars were last told."""

    list_display = ("session", "uid", "sequence", "method")
    search_fields = ("uid",)


@admin.register(models.Message)
class MessageAdmin(ReadOnlyAdmin):
    """Mail, waiting and sent."""

    list_display = ("to", "subject", "kind", "made_at", "sent_at", "failure")
    list_filter = ("kind", "given_up")
    search_fields = ("to", "subject")
    exclude = ("calendar",)


@admin.register(models.KeptReply)
class KeptReplyAdmin(ReadOnlyAdmin):
    """What calendars answered, those of no known site among them."""

    list_display = ("read_at", "attendee", "answer", "outcome", "reason", "session")
    list_filter = ("outcome",)
    exclude = ("content",)


@admin.register(models.MailWish)
class MailWishAdmin(ReadOnlyAdmin):
    """Who wants no reminders."""

    list_display = ("address", "site", "stopped_at")


@admin.register(models.CalendarFeed)
class CalendarFeedAdmin(ReadOnlyAdmin):
    """Whose calendars subscribe; the secret addresses are not shown."""

    list_display = ("site", "user", "group", "made_at", "revoked_at")
    exclude = ("secret",)


@admin.register(models.PeopleRules)
class PeopleRulesAdmin(ReadOnlyAdmin):
    """From which age a site lets young people have an account; decided on the site's own page."""

    list_display = ("site", "own_account_age")


@admin.register(models.ConsentForm)
class ConsentFormAdmin(ReadOnlyAdmin):
    """Consent forms as they were signed; a change is a new version."""

    list_display = ("site", "version", "made_at", "made_by")


@admin.register(models.NoteView)
class NoteViewAdmin(ReadOnlyAdmin):
    """Who looked at whose first-aid note, and when; the notes themselves are not shown here."""

    list_display = ("at", "person", "viewed_by", "session")


@admin.register(models.Erasure)
class ErasureAdmin(ReadOnlyAdmin):
    """When data were erased; nothing tells whose."""

    list_display = ("site", "at", "asked_by")
