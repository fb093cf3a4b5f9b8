"""Rows of the access matrix: one for each address. Not tests: `project.test_access_matrix` asks.

V volunteer, G guardian, L school liaison, S session lead, C coordinator, R reader.
"""

from dataclasses import dataclass

READ, POSTED = 200, 405
"""What a role that is let in gets by GET: the page; or, where one only posts, that said."""


@dataclass(frozen=True, slots=True)
class Row:
    """One address of a site: its name, where it is, whom it opens to, and with what answer.

    `own` is whose the named object is, where that is narrower than whom the door opens to.
    `names` tells whether the address names an object of this site: at another site it is
    not found then, also for that site's coordinator.
    """

    name: str
    tail: str
    who: str
    answer: int = READ
    names: bool = False
    own: str | None = None

    @property
    def posts(self) -> str:
        """Letters of who may post there."""
        return self.who if self.own is None else self.own


SITE_ROWS: tuple[Row, ...] = (
    Row("site", "", "VGLSCR", 302),
    Row("season_list", "seasons/", "SC", 302),
    Row("season", "seasons/2027/", "SC", names=True),
    Row("season_plan", "seasons/2027/plan/", "C", POSTED, names=True),
    Row("season_plan_take", "seasons/2027/plan/take/", "C", POSTED, names=True),
    Row("season_plan_set_aside", "seasons/2027/plan/set-aside/", "C", POSTED, names=True),
    Row("season_search", "seasons/2027/search/", "SC", 302, names=True),
    Row("season_search_stop", "seasons/2027/search/stop/", "C", POSTED, names=True),
    Row("season_search_here", "seasons/2027/search/here/", "C", POSTED, names=True),
    Row("season_calendar", "seasons/2027/season.ics", "VGLSC", names=True),
    Row("season_shares", "seasons/2027/shares/", "SC", names=True),
    Row("season_locates", "seasons/2027/locates/", "SC", names=True),
    Row("season_changes", "seasons/2027/changes/", "C", names=True),
    Row("season_changes_search", "seasons/2027/changes/search/", "C", 302, names=True),
    Row("season_changes_search_stop", "seasons/2027/changes/search/stop/", "C", POSTED, names=True),
    Row("season_changes_search_here", "seasons/2027/changes/search/here/", "C", POSTED, names=True),
    Row("season_document", "seasons/2027/document/", "C", names=True),
    Row("season_document_file", "seasons/2027/document/problem.json", "C", names=True),
    Row("season_document_take", "seasons/2027/document/take/", "C", POSTED, names=True),
    Row("forecast", "seasons/2027/forecast/", "SC", names=True),
    Row("session", "{s02}/", "VGLSC", names=True),
    Row("sign_up", "{s02}/sign-up/", "VGS", POSTED, names=True),
    Row("withdraw", "{s02}/withdraw/", "VGS", POSTED, names=True),
    Row("offer_answer", "{s02}/offer/", "VGS", POSTED, names=True),
    Row("session_calendar", "{s02}/session.ics", "VGLSC", names=True),
    Row("roster", "{s02}/roster/", "SC", names=True),
    Row("roster_propose", "{s02}/roster/propose/", "C", POSTED, names=True),
    Row("roster_search", "{s02}/roster/search/", "SC", 302, names=True),
    Row(
        "roster_search_stop",
        "{s02}/roster/search/stop/",
        "C",
        POSTED,
        names=True,
    ),
    Row(
        "roster_search_here",
        "{s02}/roster/search/here/",
        "C",
        POSTED,
        names=True,
    ),
    Row("roster_locks", "{s02}/roster/fixed/", "C", names=True),
    Row(
        "roster_lock_release",
        "{s02}/roster/fixed/release/",
        "C",
        POSTED,
        names=True,
    ),
    Row("roster_document", "{s02}/roster/document/", "C", names=True),
    Row(
        "roster_document_file",
        "{s02}/roster/document/problem.json",
        "C",
        names=True,
    ),
    Row(
        "roster_document_take",
        "{s02}/roster/document/take/",
        "C",
        POSTED,
        names=True,
    ),
    Row("roster_publish", "{s02}/roster/publish/", "C", POSTED, names=True),
    Row("roster_chance", "{s02}/roster/chance/", "C", names=True),
    Row("roster_chance_search", "{s02}/roster/chance/search/", "C", 302, names=True),
    Row("roster_chance_search_stop", "{s02}/roster/chance/search/stop/", "C", POSTED, names=True),
    Row("roster_chance_search_here", "{s02}/roster/chance/search/here/", "C", POSTED, names=True),
    Row("roster_shares", "{s02}/roster/shares/", "SC", names=True),
    Row("roster_better", "{s02}/roster/better/", "C", names=True),
    Row("roster_better_search", "{s02}/roster/better/search/", "C", 302, names=True),
    Row("roster_better_search_stop", "{s02}/roster/better/search/stop/", "C", POSTED, names=True),
    Row("roster_better_search_here", "{s02}/roster/better/search/here/", "C", POSTED, names=True),
    Row(
        "roster_better_keep",
        "{s02}/roster/better/keep/",
        "C",
        POSTED,
        names=True,
    ),
    Row("roster_repair", "{s02}/roster/repair/", "SC", names=True),
    Row("roster_repair_search", "{s02}/roster/repair/search/", "SC", 302, names=True),
    Row("roster_repair_search_stop", "{s02}/roster/repair/search/stop/", "SC", POSTED, names=True),
    Row("roster_repair_search_here", "{s02}/roster/repair/search/here/", "SC", POSTED, names=True),
    Row(
        "roster_repair_keep",
        "{s02}/roster/repair/keep/",
        "SC",
        POSTED,
        names=True,
    ),
    Row("roster_move", "{s02}/roster/move/", "C", names=True),
    Row("waiver_propose", "{s02}/roster/waive/?finding={finding}", "C", names=True),
    Row(
        "waiver_confirm",
        "{s02}/roster/waive/confirm/",
        "SC",
        POSTED,
        names=True,
    ),
    Row(
        "waiver_withdraw",
        "{s02}/roster/waive/withdraw/",
        "C",
        POSTED,
        names=True,
    ),
    Row("day_now", "{s02}/day-now/", "SC", names=True),
    Row("first_aid", "{s02}/first-aid/", "", names=True),
    Row(
        "first_aid_note",
        "{s02}/first-aid/{child}/",
        "VGLSC",
        POSTED,
        names=True,
        own="",
    ),
    Row("weather", "{s02}/weather/", "SC", names=True),
    Row("session ground", "{s02}/ground/", "SC", names=True),
    Row("record", "{s02}/record/", "SC", names=True),
    Row("call_off", "{s02}/call-off/", "C", names=True),
    Row("papers", "{s02}/papers/", "SC", names=True),
    Row("sheet", "{s02}/papers/kit-a4.pdf", "SC", names=True),
    Row("day_pack", "{s02}/day-pack-a4.pdf", "SC", names=True),
    Row("session_list", "sessions/", "VGLSC"),
    Row("session_by_code", "sessions/S02/", "VGLSC", 302, names=True),
    Row("mail", "mail/", "C"),
    Row("mail_again", "mail/again/", "C", POSTED),
    Row("feeds", "calendar/", "VGLSC"),
    Row("feed_start", "calendar/start/", "VGLSC", POSTED),
    Row("feed_end", "calendar/end/", "VGLSC", POSTED),
    Row("people", "people/", "C"),
    Row("people_file", "people/file/", "C"),
    Row("people_file_save", "people/file/save/", "C", POSTED),
    Row("people_export", "people/people.csv", "C"),
    Row("person_add", "people/add/", "C"),
    Row("people_rules", "people/rules/", "C"),
    Row("consent_form", "consent-form/", "VGLSC"),
    Row("consent_form_write", "consent-form/write/", "C"),
    Row("consent_paper", "consent-form/paper-a4.pdf", "VGLSC"),
    Row("consent_form_version", "consent-form/versions/2027-1/", "VGLSC"),
    Row("person", "people/{child}/", "C", names=True),
    Row("skill_end", "people/{child}/skill/", "C", POSTED, names=True),
    Row("person_listing", "people/{child}/listing/", "C", POSTED, names=True),
    Row("own_people", "my-people/", "VGS"),
    Row("own_person", "my-people/{child}/", "G", names=True),
    Row("consent_withdraw", "my-people/{child}/withdraw/", "VGS", POSTED, names=True, own="G"),
    Row("own_data", "my-people/{child}/held.json", "G", names=True),
    Row("own_erase", "my-people/{child}/erase/", "G", names=True),
    Row("charge_remove", "my-people/{child}/remove/", "VGS", POSTED, names=True, own="G"),
    Row("own_skills", "my-people/{child}/skills/", "G", names=True),
    Row("said_skill_list", "said-skills/", "SC"),
    Row("said_skill_answer", "said-skills/answer/", "SC", POSTED),
    Row("my_sessions", "my-sessions/", "VGS"),
    Row("group_list", "classes/", "L"),
    Row("group_check", "classes/SLUICE-7/check/", "L", names=True),
    Row(
        "supervision_statement",
        "classes/SLUICE-7/statement-a4.pdf?{numbers}",
        "L",
        names=True,
    ),
    Row("group_sign_up", "classes/SLUICE-7/sign-up/", "L", POSTED, names=True),
    Row("class_ask", "classes/ask/", "L"),
    Row(
        "class_request_take_back",
        "classes/requests/{request}/take-back/",
        "L",
        POSTED,
        names=True,
    ),
    Row("class_offer_answer", "classes/SLUICE-7/offer/", "L", POSTED, names=True),
    Row("group_withdraw", "classes/SLUICE-7/withdraw/", "L", POSTED, names=True),
    Row("class_numbers", "classes/SLUICE-7/numbers/2027/S04/", "L", names=True),
    Row("class_request_list", "class-requests/", "C"),
    Row("class_request", "class-requests/{request}/", "C", names=True),
    Row("class_file", "class-files/SLUICE-7/", "C", names=True),
    Row("pocket_sheet", "pockets/P1/sheet-a4.pdf", "SC", names=True),
    Row("store", "store/", "C"),
    Row("totals", "totals/", "CR"),
    Row("rule_book", "rule-book/", "VGLSC"),
    Row("rule_set_list", "rule-sets/", "C"),
    Row("rule_set_adopt", "rule-sets/adopt/", "C", POSTED),
    Row("rule_set_end", "rule-sets/end/", "C", POSTED),
    Row("rule_set", "rule-sets/SITE-1/1/", "C"),
    Row("rule_set_change", "rule-sets/SITE-1/1/change/?figure=company.adults_in_sight", "C"),
    Row("plan_list", "plans/", "C", 302),
    Row("plan_start", "start-a-plan/", "C"),
    Row("plan", "plans/TY-27/", "C", names=True),
    Row("plan_changes", "plans/TY-27/changes/", "C", names=True),
    Row("plan_publish", "plans/TY-27/publish/", "C", POSTED, names=True),
    Row("plan_head", "plans/TY-27/head/", "C", names=True),
    Row("plan_line_choose", "plans/TY-27/add/", "C", names=True),
    Row("plan_line_add", "plans/TY-27/add/MUL/", "C", names=True),
    Row("plan_line", "plans/TY-27/lines/{line}/", "C", names=True),
    Row("plan_line_remove", "plans/TY-27/lines/{line}/take-out/", "C", POSTED, names=True),
    Row("plan_versions", "plans/TY-27/history/", "C", names=True),
    Row("plan_version", "plans/TY-27/history/1/", "C", names=True),
    Row("plan_version_restore", "plans/TY-27/history/1/restore/", "C", POSTED, names=True),
    Row("ground", "ground/", "SC"),
    Row("site_drawing", "ground/drawing/", "SC"),
    Row("reading_list", "ground/readings/", "SC"),
    Row("growth", "ground/growth/", "SC"),
    Row("growth_record", "ground/growth/record/", "SC"),
    Row("tree_growth", "ground/growth/trees/{tag}/", "SC", names=True),
    Row("growth_remove", "ground/growth/trees/{tag}/1/take-away/", "C", POSTED, names=True),
    Row("area", "ground/areas/A/", "SC", names=True),
    Row("area_history", "ground/areas/A/past/", "C", names=True),
    Row("reading_add", "ground/areas/A/read/spade-test/", "C", names=True),
    Row("reading_remove", "ground/areas/A/readings/1/take-away/", "C", POSTED, names=True),
    Row("pocket_list", "pockets/", "SC"),
    Row("pocket_draw", "draw-a-pocket/", "C"),
    Row("pocket_propose", "propose-pockets/", "SC"),
    Row("pocket_keep", "propose-pockets/draw/", "C", POSTED),
    Row("pocket", "pockets/P1/", "SC", names=True),
    Row("pocket_redraw", "pockets/P1/draw/", "C", names=True),
    Row("pocket_remove", "pockets/P1/take-away/", "C", POSTED, names=True),
    Row("hole_record", "pockets/P1/holes/", "SC", POSTED, names=True),
    Row("holes_bored", "pockets/P1/bored/", "SC", POSTED, names=True),
    Row("hole_record_remove", "pockets/P1/holes/1/take-away/", "C", POSTED, names=True),
    Row("locate_list", "locates/", "SC"),
    Row("locate_add", "locates/add/", "C"),
    Row("locate", "locates/{locate}/", "C", names=True),
    Row("method_list", "methods/", "C"),
    Row("method_figures", "methods/figures/", "C", POSTED),
    Row("method_fit", "methods/fit/", "C"),
    Row("method_plot", "methods/pocket-P1/plot.svg", "C", names=True),
    Row("store_tools", "store/tools/", "C"),
    Row("store_usual", "store/usual-list/", "C", POSTED),
    Row("store_enter", "store/add-delivery/", "C"),
    Row("task", "tasks/{task}/", "SC", names=True),
    Row("place", "place/", "C"),
    Row("site_facts", "place/facts/", "C"),
    Row("figure_list", "place/figures/", "C"),
    Row("figures", "place/figures/COR/", "C"),
    Row("rate_list", "place/rates/", "C"),
    Row("rate", "place/rates/backfill/", "C"),
    Row("place_export", "place/files/trees.csv", "C"),
    Row("tree_by_tapes", "place/tapes/", "C"),
    Row("area_add", "place/areas/add/", "C"),
    Row("peg_add", "place/pegs/add/", "C"),
    Row("peg_remove", "place/pegs/take-away/", "C", POSTED),
    Row("import_upload", "place/import/", "C"),
    Row("import_columns", "place/import/{upload}/", "C", names=True),
    Row("import_preview", "place/import/{upload}/changes/", "C", names=True),
    Row("import_confirm", "place/import/{upload}/save/", "C", POSTED, names=True),
    Row("import_done", "place/import/{upload}/saved/", "C", 302, names=True),
    Row("role_list", "roles/", "C"),
    Row("role_end", "roles/end/", "C", POSTED),
)


@dataclass(frozen=True, slots=True)
class OpenRow:
    """An address of no site: what it answers to nobody signed in, and to anybody signed in."""

    name: str
    address: str
    stranger: int
    known: int


OPEN_ROWS: tuple[OpenRow, ...] = (
    OpenRow("home", "/", 200, 200),
    OpenRow("account_login", "/account/login/", 302, 302),
    OpenRow("account_request_login_code", "/account/login/code/", 200, 302),
    OpenRow("account_confirm_login_code", "/account/login/code/confirm/", 302, 302),
    OpenRow("account_logout", "/account/logout/", 302, 200),
    OpenRow("account_inactive", "/account/inactive/", 200, 200),
    OpenRow("account_signup", "/account/closed/", 200, 302),
    OpenRow("mfa_index", "/account/second-factor/", 302, 200),
    OpenRow("mfa_authenticate", "/account/second-factor/sign-in/", 302, 302),
    OpenRow("mfa_reauthenticate", "/account/second-factor/again/", 302, 403),
    OpenRow("mfa_activate_totp", "/account/second-factor/app/", 302, 200),
    OpenRow("mfa_deactivate_totp", "/account/second-factor/app/end/", 302, 404),
    OpenRow("mfa_view_recovery_codes", "/account/second-factor/spare-codes/", 302, 404),
    OpenRow("mfa_generate_recovery_codes", "/account/second-factor/spare-codes/new/", 302, 200),
    OpenRow("mfa_list_webauthn", "/account/second-factor/passkeys/", 302, 200),
    OpenRow("mfa_add_webauthn", "/account/second-factor/passkeys/add/", 302, 200),
    OpenRow("mfa_reauthenticate_webauthn", "/account/second-factor/passkeys/again/", 302, 403),
    OpenRow("mfa_remove_webauthn", "/account/second-factor/passkeys/1/end/", 302, 404),
    OpenRow("units", "/account/units/", 302, 200),
    OpenRow("site_start", "/sites/start/", 302, 404),  # coordinators: 200, see the test
    OpenRow("mail_stop", "/traverser-yard/mail/reminders/x/", 404, 404),  # opens by signature
    OpenRow("feed_file", "/traverser-yard/calendar/x.ics", 404, 404),  # opens by its secret
)
