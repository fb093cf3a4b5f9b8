"""Where pages are found. A site's pages all begin with its slug."""

from allauth.account import views as account
from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

from orchard.views import ground, home, plan_editor, plan_versions, plans, site_drawing, tasks

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

site_patterns: list[URLPattern | URLResolver] = [
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
    path("ground/areas/<str:area>/", ground.show_area, name="area"),
    path("ground/areas/<str:area>/past/", ground.change_history, name="area_history"),
    path("ground/areas/<str:area>/read/<str:kind>/", ground.add_reading, name="reading_add"),
    path(
        "ground/areas/<str:area>/readings/<int:reading_id>/take-away/",
        ground.take_away,
        name="reading_remove",
    ),
    path("tasks/<int:task_id>/", tasks.show_task, name="task"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", home.show_home, name="home"),
    path("admin/", admin.site.urls),
    path("account/", include(account_patterns)),
    path("", include("scheduling.urls")),
    path("<slug:slug>/", include(site_patterns)),
]
