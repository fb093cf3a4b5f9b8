"""Who may see and change sessions, sign-ups, rosters and classes.

The standing handed in is that of `orchard.queries.roles`. Refusals become pages
in `views.access`. Which people or classes are one's own is a matter of the
queries: they never return anybody else's.
"""

import rules

from orchard.permissions import belongs_here, is_coordinator, leads_sessions
from orchard.queries.roles import Standing


@rules.predicate
def comes_to_sessions(user: object, standing: Standing | None) -> bool:
    """Whether the account comes itself or answers for young people who do."""
    return standing is not None and standing.comes_to_sessions


@rules.predicate
def brings_classes(user: object, standing: Standing | None) -> bool:
    """Whether the account is a school liaison of the site."""
    return standing is not None and standing.is_liaison


@rules.predicate
def takes_part(user: object, standing: Standing | None) -> bool:
    """Whether the account has to do with sessions: everybody but those who only read totals."""
    return standing is not None and standing.takes_part


@rules.predicate
def reads_totals(user: object, standing: Standing | None) -> bool:
    """Whether the account reads the site's totals, such as a funder."""
    return standing is not None and standing.is_reader


rules.add_perm("scheduling.read_rule_book", belongs_here & takes_part)
rules.add_perm("scheduling.see_season", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.plan_season", belongs_here & is_coordinator)
rules.add_perm("scheduling.see_roster", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.make_roster", belongs_here & is_coordinator)
rules.add_perm("scheduling.repair_roster", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.record_session", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.see_session", belongs_here & takes_part)
rules.add_perm("scheduling.sign_up", belongs_here & comes_to_sessions)
rules.add_perm("scheduling.bring_class", belongs_here & brings_classes)
rules.add_perm("scheduling.answer_schools", belongs_here & is_coordinator)
rules.add_perm("scheduling.see_said_skills", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.change_rule_book", belongs_here & is_coordinator)
rules.add_perm("scheduling.confirm_waiver", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.type_weather", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("scheduling.see_mail", belongs_here & is_coordinator)
rules.add_perm("scheduling.read_consent_form", belongs_here & takes_part)
rules.add_perm("scheduling.keep_people", belongs_here & is_coordinator)
rules.add_perm("scheduling.see_totals", belongs_here & (reads_totals | is_coordinator))
