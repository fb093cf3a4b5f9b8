"""The keepers' pages: every record of the place and the plan, for superusers only."""

from allauth.mfa.models import Authenticator
from django.contrib import admin
from django.contrib.auth.models import Group
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from orchard import models
from orchard.views.sign_in import lacks_second_factor, lead_to_second_factor


def keeps_records(request: HttpRequest) -> bool:
    """Say whether the account is the records' keeper; being marked as staff is not enough."""
    return bool(request.user.is_active and request.user.is_superuser)


def may_keep_records(request: HttpRequest) -> bool:
    """Say whether these pages open: to their keeper, with a second factor where one is asked."""
    return keeps_records(request) and not lacks_second_factor(request)


def enter_records(request: HttpRequest, extra_context: object = None) -> HttpResponse:  # noqa: ARG001 (library's)
    """Lead to the one way in, the mailed code; these pages have no sign-in of their own.

    Raises:
        Http404: If the account is not the keeper's.
    """
    if not request.user.is_authenticated:
        return redirect_to_login(request.GET.get("next") or reverse("admin:index"))
    if not keeps_records(request):
        raise Http404
    if lacks_second_factor(request):
        return lead_to_second_factor(request)
    return redirect("admin:index")


admin.site.has_permission = may_keep_records  # type: ignore[method-assign]
admin.site.login = enter_records  # type: ignore[method-assign]
admin.site.site_header = "Records of the orchard"
admin.site.site_title = "Records"
admin.site.index_title = "What is on file"
admin.site.unregister(Group)  # roles decide here, not the framework's groups
admin.site.unregister(Authenticator)


@admin.register(Authenticator)
class AuthenticatorAdmin(admin.ModelAdmin):
    """Second factors, to be deleted for who lost theirs. The secrets are not shown to anybody."""

    list_display = ("user", "type", "created_at", "last_used_at")
    list_filter = ("type",)
    search_fields = ("user__email",)
    fields = readonly_fields = ("user", "type", "created_at", "last_used_at")

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002 (library's)
        """Nobody makes one for somebody else."""
        return False


@admin.register(models.User)
class UserAdmin(admin.ModelAdmin):
    """Accounts. There is no password to set: people sign in by mailed code."""

    list_display = ("email", "is_active", "is_superuser", "last_login")
    search_fields = ("email",)
    exclude = ("password", "groups", "user_permissions")
    readonly_fields = ("last_login", "date_joined")


@admin.register(models.Role)
class RoleAdmin(admin.ModelAdmin):
    """Who is what where. End a role; deleting it would hide that it was held."""

    list_display = ("user", "site", "kind", "granted_at", "ended_at")
    list_filter = ("site", "kind")
    search_fields = ("user__email",)
    autocomplete_fields = ("user",)


@admin.register(models.Site)
class SiteAdmin(admin.ModelAdmin):
    """Sites with what a caller in an emergency must be able to say."""

    list_display = ("name", "town", "slug", "time_zone")
    search_fields = ("name", "slug")


@admin.register(models.SiteChange)
class SiteChangeAdmin(admin.ModelAdmin):
    """What was changed of a site's facts, figures and rates; written once."""

    list_display = ("site", "about", "at", "by", "sentence")
    list_filter = ("site", "about")
    readonly_fields = ("site", "about", "at", "by", "sentence")


@admin.register(models.Area)
class AreaAdmin(admin.ModelAdmin):
    """Areas of ground."""

    list_display = ("code", "name", "kind", "site")
    list_filter = ("site", "kind")
    search_fields = ("code", "name")


@admin.register(models.Tree)
class TreeAdmin(admin.ModelAdmin):
    """Trees."""

    list_display = ("tag", "species", "cultivar", "area", "canopy_radius_m")
    list_filter = ("site", "area")
    search_fields = ("tag", "species", "cultivar")


@admin.register(models.Corridor)
class CorridorAdmin(admin.ModelAdmin):
    """Buried services."""

    list_display = ("code", "service", "width_m", "tolerance_m", "site")
    search_fields = ("code",)


@admin.register(models.Locate)
class LocateAdmin(admin.ModelAdmin):
    """Buried services marked out."""

    list_display = ("number", "first_day", "last_day", "site")
    search_fields = ("number",)
    date_hierarchy = "last_day"


@admin.register(models.Pocket)
class PocketAdmin(admin.ModelAdmin):
    """Pockets."""

    list_display = ("code", "name", "area", "site")
    search_fields = ("code", "name")


@admin.register(models.Reading)
class ReadingAdmin(admin.ModelAdmin):
    """Soil readings."""

    list_display = ("code", "area", "on", "kind", "value", "depth_cm", "moisture")
    list_filter = ("kind", "moisture")
    search_fields = ("code",)
    date_hierarchy = "on"


@admin.register(models.GrowthReading)
class GrowthReadingAdmin(admin.ModelAdmin):
    """Shoots and girths of trees."""

    list_display = ("tree", "on", "target", "girth_cm", "by")
    list_filter = ("tree__site",)


@admin.register(models.Offer)
class OfferAdmin(admin.ModelAdmin):
    """Who sells a material, in which unit, at which price."""

    list_display = ("material", "code", "supplier", "unit", "litres_per_unit", "lead_days")
    list_filter = ("material__site",)


@admin.register(models.StockCount)
class StockCountAdmin(admin.ModelAdmin):
    """What was counted in the bay."""

    list_display = ("material", "on", "litres", "note")
    list_filter = ("material__site",)


@admin.register(models.HoleRecord)
class HoleRecordAdmin(admin.ModelAdmin):
    """Core holes that were refused or moved."""

    list_display = ("pocket", "name", "outcome", "reason", "on", "by")
    list_filter = ("outcome", "pocket__site")


@admin.register(models.PlanVersion)
class PlanVersionAdmin(admin.ModelAdmin):
    """Plans as they stood. A version is a record of what was: it is read, never changed."""

    list_display = ("plan", "number", "at", "by", "sentence")
    list_filter = ("plan",)
    readonly_fields = ("plan", "number", "at", "by", "sentence", "content")

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002 (library's)
        """Nobody writes a version by hand."""
        return False


class PlanTreatmentInline(admin.TabularInline):
    """The lines of a plan."""

    model = models.PlanTreatment
    extra = 0


@admin.register(models.Plan)
class PlanAdmin(admin.ModelAdmin):
    """Remediation plans with their lines."""

    list_display = ("code", "title", "site", "budget_cents")
    search_fields = ("code", "title")
    inlines = (PlanTreatmentInline,)


@admin.register(models.Task)
class TaskAdmin(admin.ModelAdmin):
    """Published tasks. Only what is done is edited; the rest comes from the plan."""

    list_display = ("key", "title", "units_done", "units", "unit", "state")
    list_filter = ("plan", "state", "kind")
    search_fields = ("key", "title")
    readonly_fields = (
        "plan", "key", "position", "kind", "title", "zone", "units", "unit",
        "mean_person_min", "cost_cents", "content", "content_digest",
    )  # fmt: skip

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002 (library's)  # noqa: ARG002
        """Refuse tasks made by hand: a task is published from a plan."""
        return False


class RateInline(admin.TabularInline):
    """The rates of one version."""

    model = models.Rate
    extra = 0


@admin.register(models.RateVersion)
class RateVersionAdmin(admin.ModelAdmin):
    """Dated versions of the rates."""

    list_display = ("site", "as_of", "note")
    search_fields = ("note",)
    inlines = (RateInline,)


@admin.register(models.Tool)
class ToolAdmin(admin.ModelAdmin):
    """Tools on hand."""

    list_display = ("code", "name", "on_hand", "minimum_age", "powered", "site")
    search_fields = ("code", "name")


class DeliveryInline(admin.TabularInline):
    """Loads of one material."""

    model = models.Delivery
    extra = 0


@admin.register(models.Material)
class MaterialAdmin(admin.ModelAdmin):
    """Materials with their deliveries."""

    list_display = ("code", "name", "kg_per_m3", "price_cents_per_m3", "bag_litres", "site")
    search_fields = ("code", "name")
    inlines = (DeliveryInline,)
