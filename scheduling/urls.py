"""Where the pages of people and days are found. All begin with a site's slug."""

from django.urls import URLPattern, URLResolver, include, path

from scheduling.views import groups, rosters, rule_book, seasons, sessions, signups

session_patterns: list[URLPattern | URLResolver] = [
    path("", sessions.show_session, name="session"),
    path("sign-up/", signups.sign_up, name="sign_up"),
    path("withdraw/", signups.withdraw, name="withdraw"),
    path("session.ics", sessions.send_calendar_file, name="session_calendar"),
    path("roster/", rosters.show_roster, name="roster"),
    path("roster/propose/", rosters.propose, name="roster_propose"),
    path("roster/publish/", rosters.publish, name="roster_publish"),
    path("day-pack-<str:paper>.pdf", rosters.send_day_pack, name="day_pack"),
]

site_patterns: list[URLPattern | URLResolver] = [
    path("seasons/", seasons.list_seasons, name="season_list"),
    path("seasons/<str:season>/", seasons.show_season, name="season"),
    path("seasons/<str:season>/plan/", seasons.plan, name="season_plan"),
    path("seasons/<str:season>/sessions/<str:session>/", include(session_patterns)),
    path("sessions/", sessions.list_sessions, name="session_list"),
    path("sessions/<str:session>/", sessions.find_by_code, name="session_by_code"),
    path("my-sessions/", sessions.show_mine, name="my_sessions"),
    path("classes/", groups.list_classes, name="group_list"),
    path("classes/<str:group>/check/", groups.check_class, name="group_check"),
    path("classes/<str:group>/sign-up/", groups.sign_up, name="group_sign_up"),
    path("rule-book/", rule_book.show_rule_book, name="rule_book"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("<slug:slug>/", include(site_patterns)),
]
