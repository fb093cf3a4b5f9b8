"""Where the pages of people and days are found. All begin with a site's slug."""

from django.urls import URLPattern, URLResolver, include, path

from scheduling.views import (
    calling_off,
    day_sheets,
    feeds,
    groups,
    hand_edits,
    locks,
    mail,
    papers,
    pocket_sheets,
    problem_documents,
    records,
    rosters,
    rule_book,
    rule_sets,
    searches,
    season_locates,
    seasons,
    sessions,
    signups,
    stores,
    waivers,
)

session_patterns: list[URLPattern | URLResolver] = [
    path("", sessions.show_session, name="session"),
    path("sign-up/", signups.sign_up, name="sign_up"),
    path("withdraw/", signups.withdraw, name="withdraw"),
    path("offer/", signups.answer, name="offer_answer"),
    path("session.ics", sessions.send_calendar_file, name="session_calendar"),
    path("roster/", rosters.show_roster, name="roster"),
    path("roster/propose/", rosters.propose, name="roster_propose"),
    path("roster/search/", searches.look_at_roster, name="roster_search"),
    path("roster/search/stop/", searches.stop_roster, name="roster_search_stop"),
    path("roster/search/here/", searches.search_roster_here, name="roster_search_here"),
    path("roster/fixed/", locks.show_locks, name="roster_locks"),
    path("roster/fixed/release/", locks.release, name="roster_lock_release"),
    path("roster/document/", problem_documents.show_day_document, name="roster_document"),
    path(
        "roster/document/problem.json",
        problem_documents.send_day_document,
        name="roster_document_file",
    ),
    path("roster/document/take/", problem_documents.take_day, name="roster_document_take"),
    path("roster/publish/", rosters.publish, name="roster_publish"),
    path("roster/move/", hand_edits.move, name="roster_move"),
    path("roster/waive/", waivers.propose, name="waiver_propose"),
    path("roster/waive/confirm/", waivers.confirm, name="waiver_confirm"),
    path("roster/waive/withdraw/", waivers.withdraw, name="waiver_withdraw"),
    path("day-now/", hand_edits.show_day_now, name="day_now"),
    path("weather/", day_sheets.show_weather, name="weather"),
    path("ground/", day_sheets.show_ground, name="ground"),
    path("record/", records.record, name="record"),
    path("call-off/", calling_off.call_off, name="call_off"),
    path("papers/", papers.list_papers, name="papers"),
    path("papers/<str:sheet>-<str:paper>.pdf", papers.send_sheet, name="sheet"),
    path("day-pack-<str:paper>.pdf", papers.send_day_pack, name="day_pack"),
]

site_patterns: list[URLPattern | URLResolver] = [
    path("seasons/", seasons.list_seasons, name="season_list"),
    path("seasons/<str:season>/", seasons.show_season, name="season"),
    path("seasons/<str:season>/plan/", seasons.plan, name="season_plan"),
    path("seasons/<str:season>/plan/take/", seasons.take, name="season_plan_take"),
    path("seasons/<str:season>/plan/set-aside/", seasons.set_aside, name="season_plan_set_aside"),
    path("seasons/<str:season>/search/", searches.look_at_season, name="season_search"),
    path("seasons/<str:season>/search/stop/", searches.stop_season, name="season_search_stop"),
    path(
        "seasons/<str:season>/search/here/", searches.search_season_here, name="season_search_here"
    ),
    path("seasons/<str:season>/season.ics", feeds.send_season, name="season_calendar"),
    path(
        "seasons/<str:season>/locates/", season_locates.show_season_locates, name="season_locates"
    ),
    path(
        "seasons/<str:season>/document/",
        problem_documents.show_season_document,
        name="season_document",
    ),
    path(
        "seasons/<str:season>/document/problem.json",
        problem_documents.send_season_document,
        name="season_document_file",
    ),
    path(
        "seasons/<str:season>/document/take/",
        problem_documents.take_season,
        name="season_document_take",
    ),
    path("seasons/<str:season>/forecast/", records.show_forecast, name="forecast"),
    path("seasons/<str:season>/sessions/<str:session>/", include(session_patterns)),
    path("sessions/", sessions.list_sessions, name="session_list"),
    path("sessions/<str:session>/", sessions.find_by_code, name="session_by_code"),
    path("mail/", mail.list_mail, name="mail"),
    path("mail/again/", mail.try_mail_again, name="mail_again"),
    path("mail/reminders/<path:signed>/", mail.stop_mail, name="mail_stop"),
    path("calendar/", feeds.show_feeds, name="feeds"),
    path("calendar/start/", feeds.start_feed, name="feed_start"),
    path("calendar/end/", feeds.end_feed, name="feed_end"),
    path("calendar/<str:secret>.ics", feeds.send_feed, name="feed_file"),
    path("my-sessions/", sessions.show_mine, name="my_sessions"),
    path("classes/", groups.list_classes, name="group_list"),
    path("classes/<str:group>/check/", groups.check_class, name="group_check"),
    path(
        "classes/<str:group>/statement-<str:paper>.pdf",
        groups.send_statement,
        name="supervision_statement",
    ),
    path("classes/<str:group>/sign-up/", groups.sign_up, name="group_sign_up"),
    path(
        "pockets/<str:pocket>/sheet-<str:paper>.pdf",
        pocket_sheets.send_sheet,
        name="pocket_sheet",
    ),
    path("store/", stores.show_store, name="store"),
    path("rule-book/", rule_book.show_rule_book, name="rule_book"),
    path("rule-sets/", rule_sets.list_rule_sets, name="rule_set_list"),
    path("rule-sets/adopt/", rule_sets.adopt, name="rule_set_adopt"),
    path("rule-sets/end/", rule_sets.end, name="rule_set_end"),
    path("rule-sets/<str:code>/<int:version>/", rule_sets.show_rule_set, name="rule_set"),
    path(
        "rule-sets/<str:code>/<int:version>/change/",
        rule_sets.change_figure,
        name="rule_set_change",
    ),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("<slug:slug>/", include(site_patterns)),
]
