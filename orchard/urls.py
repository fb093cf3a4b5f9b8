"""Where pages are found. A site's pages all begin with its slug."""

from allauth.account import views as account
from allauth.mfa.base import views as factors
from allauth.mfa.recovery_codes import views as spare_codes
from allauth.mfa.totp import views as app_codes
from allauth.mfa.webauthn import views as passkeys
from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

from orchard.views import (
    ground,
    growth,
    home,
    imports,
    locates,
    methods,
    place,
    plan_editor,
    plan_versions,
    plans,
    pocket_proposals,
    pockets,
    roles,
    sign_in,
    site_drawing,
    site_facts,
    sites,
    stores,
    tasks,
    units,
)

# One way in: a mailed code. The library's password pages have no address here.
account_patterns: list[URLPattern | URLResolver] = [
    path(
        "login/",
        RedirectView.as_view(pattern_name="account_request_login_code", query_string=True),
        name="account_login",
    ),
    path("login/code/", account.request_login_code, name="account_request_login_code"),
    path("login/code/confirm/", account.confirm_login_code, name="account_confirm_login_code"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("closed/", account.signup, name="account_signup"),
]

# The second factor of a coordinator: an authenticator app or a passkey, and spare codes.
factor_patterns: list[URLPattern | URLResolver] = [
    path("", factors.index, name="mfa_index"),
    path("sign-in/", factors.authenticate, name="mfa_authenticate"),
    path("again/", factors.reauthenticate, name="mfa_reauthenticate"),
    path("app/", sign_in.set_up_app, name="mfa_activate_totp"),
    path("app/end/", app_codes.deactivate_totp, name="mfa_deactivate_totp"),
    path("spare-codes/", spare_codes.view_recovery_codes, name="mfa_view_recovery_codes"),
    path(
        "spare-codes/new/",
        spare_codes.generate_recovery_codes,
        name="mfa_generate_recovery_codes",
    ),
    path("passkeys/", passkeys.list_webauthn, name="mfa_list_webauthn"),
    path("passkeys/add/", sign_in.add_passkey, name="mfa_add_webauthn"),
    path("passkeys/again/", passkeys.reauthenticate_webauthn, name="mfa_reauthenticate_webauthn"),
    path("passkeys/<int:pk>/end/", passkeys.remove_webauthn, name="mfa_remove_webauthn"),
]

site_patterns: list[URLPattern | URLResolver] = [
    path("", home.enter_site, name="site"),
    path("plans/", plans.list_plans, name="plan_list"),
    path("start-a-plan/", plan_editor.start, name="plan_start"),
    path("plans/<str:code>/", plans.show_plan, name="plan"),
    path("plans/<str:code>/changes/", plans.show_changes, name="plan_changes"),
    path("plans/<str:code>/publish/", plans.publish, name="plan_publish"),
    path("plans/<str:code>/head/", plan_editor.change_head, name="plan_head"),
    path("plans/<str:code>/add/", plan_editor.choose_treatment, name="plan_line_choose"),
    path("plans/<str:code>/add/<str:treatment>/", plan_editor.add_line, name="plan_line_add"),
    path("plans/<str:code>/lines/<str:key>/", plan_editor.change_line, name="plan_line"),
    path(
        "plans/<str:code>/lines/<str:key>/take-out/",
        plan_editor.take_out,
        name="plan_line_remove",
    ),
    path("plans/<str:code>/history/", plan_versions.list_versions, name="plan_versions"),
    path(
        "plans/<str:code>/history/<int:number>/",
        plan_versions.show_version,
        name="plan_version",
    ),
    path(
        "plans/<str:code>/history/<int:number>/restore/",
        plan_versions.restore,
        name="plan_version_restore",
    ),
    path("ground/", ground.show_ground, name="ground"),
    path("ground/drawing/", site_drawing.show_drawing, name="site_drawing"),
    path("ground/readings/", ground.list_readings, name="reading_list"),
    path("ground/growth/", growth.show_growth, name="growth"),
    path("ground/growth/record/", growth.record, name="growth_record"),
    path("ground/growth/trees/<str:tag>/", growth.show_tree, name="tree_growth"),
    path(
        "ground/growth/trees/<str:tag>/<int:reading_id>/take-away/",
        growth.take_away,
        name="growth_remove",
    ),
    path("ground/areas/<str:area>/", ground.show_area, name="area"),
    path("ground/areas/<str:area>/past/", ground.change_history, name="area_history"),
    path("ground/areas/<str:area>/read/<str:kind>/", ground.add_reading, name="reading_add"),
    path(
        "ground/areas/<str:area>/readings/<int:reading_id>/take-away/",
        ground.take_away,
        name="reading_remove",
    ),
    path("pockets/", pockets.list_pockets, name="pocket_list"),
    path("draw-a-pocket/", pockets.draw_pocket, name="pocket_draw"),
    path("propose-pockets/", pocket_proposals.propose, name="pocket_propose"),
    path("propose-pockets/draw/", pocket_proposals.keep, name="pocket_keep"),
    path("pockets/<str:pocket>/", pockets.show_pocket, name="pocket"),
    path("pockets/<str:pocket>/draw/", pockets.redraw_pocket, name="pocket_redraw"),
    path("pockets/<str:pocket>/take-away/", pockets.take_away, name="pocket_remove"),
    path("pockets/<str:pocket>/holes/", pockets.add_hole_record, name="hole_record"),
    path("pockets/<str:pocket>/bored/", pockets.name_holes_bored, name="holes_bored"),
    path(
        "pockets/<str:pocket>/holes/<int:record_id>/take-away/",
        pockets.drop_hole_record,
        name="hole_record_remove",
    ),
    path("locates/", locates.list_locates, name="locate_list"),
    path("locates/add/", locates.add_locate, name="locate_add"),
    path("locates/<int:locate_id>/", locates.change_locate, name="locate"),
    path("methods/", methods.compare, name="method_list"),
    path("methods/figures/", methods.keep_figures, name="method_figures"),
    path("methods/fit/", methods.fit, name="method_fit"),
    path("methods/<str:piece>/plot.<str:kind>", methods.send_plot, name="method_plot"),
    path("store/tools/", stores.change_tools, name="store_tools"),
    path("store/usual-list/", stores.take_over, name="store_usual"),
    path("store/add-<str:what>/", stores.enter, name="store_enter"),
    path("tasks/<int:task_id>/", tasks.show_task, name="task"),
    path("place/", place.show_place, name="place"),
    path("place/facts/", site_facts.change, name="site_facts"),
    path("place/figures/", site_facts.list_figures, name="figure_list"),
    path("place/figures/<str:code>/", site_facts.change_figures, name="figures"),
    path("place/rates/", site_facts.list_rates, name="rate_list"),
    path("place/rates/<str:activity>/", site_facts.change_rate, name="rate"),
    path("place/files/<str:what>", place.export, name="place_export"),
    path("place/tapes/", place.measure_tree, name="tree_by_tapes"),
    path("place/areas/add/", place.add_area, name="area_add"),
    path("place/pegs/add/", place.add_peg, name="peg_add"),
    path("place/pegs/take-away/", place.take_peg_away, name="peg_remove"),
    path("place/import/", imports.upload, name="import_upload"),
    path("place/import/<uuid:upload_id>/", imports.columns, name="import_columns"),
    path("place/import/<uuid:upload_id>/changes/", imports.preview, name="import_preview"),
    path("place/import/<uuid:upload_id>/save/", imports.confirm, name="import_confirm"),
    path("place/import/<uuid:upload_id>/saved/", imports.done, name="import_done"),
    path("roles/", roles.show_roles, name="role_list"),
    path("roles/end/", roles.end, name="role_end"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", home.show_home, name="home"),
    path("admin/", admin.site.urls),
    path("account/", include(account_patterns)),
    path("account/second-factor/", include(factor_patterns)),
    path("account/units/", units.choose, name="units"),
    path("sites/start/", sites.start, name="site_start"),
    path("", include("scheduling.urls")),
    path("<slug:slug>/", include(site_patterns)),
]
