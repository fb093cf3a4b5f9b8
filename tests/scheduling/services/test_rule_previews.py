"""What a change of the rule book would do is what it then does; looking changes nothing."""

import pytest

from orchard.models import Site, User
from scheduling.domain.errors import RuleSetRefused
from scheduling.models import Adoption, RuleSetVersion, Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster_value
from scheduling.services.rosters import propose_roster
from scheduling.services.rule_previews import RevisionPreview, judge_session, preview_revision
from scheduling.services.rule_sets import revise_rule_set
from tests.scheduling.services.test_rosters import QUICK
from tests.signed_in import COORDINATOR, NOW

TODAY = NOW.date()


def preview(code: str, changes: dict[str, str]) -> RevisionPreview:
    site = Site.objects.get(slug="traverser-yard")
    return preview_revision(
        site_id=site.pk,
        version_id=RuleSetVersion.objects.get(site__isnull=True, code=code).pk,
        changes=changes,
        by=User.objects.get(email=COORDINATOR).pk,
        at=NOW,
        on=TODAY,
    )


def save(code: str, changes: dict[str, str]) -> None:
    revise_rule_set(
        site_id=Site.objects.get(slug="traverser-yard").pk,
        version_id=RuleSetVersion.objects.get(site__isnull=True, code=code).pk,
        changes=changes,
        because="tried in a test",
        by=User.objects.get(email=COORDINATOR).pk,
        at=NOW,
        on=TODAY,
    )


def judge_all() -> dict[str, set[tuple[object, ...]]]:
    return {
        session.code: {
            (f.rule, f.severity, f.people, f.task, f.round, f.required, f.found)
            for f in judge_session(
                load_roster_problem(session.pk), find_current_roster_value(session.pk)
            )
        }
        for session in Session.objects.order_by("starts_at")
    }


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("NSPCC-2023", {"supervision.least_adults": "9"}),
        ("SITE-1", {"company.people_per_first_aider": "4"}),
        ("SITE-1", {"company.guardian_below_age": "15"}),
    ],
)
def test_the_preview_says_what_then_happens(small_day: Session, code: str, changes) -> None:
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    before = judge_all()

    said = preview(code, changes)
    save(code, changes)

    after = judge_all()
    assert said.changed, "a change that touches nothing would prove nothing"
    for change in said.sessions:
        came = {
            (f.rule, f.severity, f.people, f.task, f.round, f.required, f.found)
            for f in change.came
        }
        gone = {
            (f.rule, f.severity, f.people, f.task, f.round, f.required, f.found)
            for f in change.gone
        }
        assert came == after[change.code] - before[change.code]
        assert gone == before[change.code] - after[change.code]


def test_looking_keeps_nothing(small_day: Session) -> None:
    kept = (RuleSetVersion.objects.count(), list(Adoption.objects.values()))

    preview("SITE-1", {"company.adults_in_sight": "3"})

    assert (RuleSetVersion.objects.count(), list(Adoption.objects.values())) == kept


def test_a_change_nobody_feels_changes_no_session(small_day: Session) -> None:
    said = preview("SITE-1", {"exposure.stop_points": "99"})

    assert said.rules.version == 2
    assert len(said.sessions) == Session.objects.count()
    assert said.changed == ()


def test_sessions_that_are_over_or_called_off_are_not_asked(small_day: Session) -> None:
    Session.objects.filter(code="S03").update(state=Session.State.CALLED_OFF)
    Session.objects.filter(code="S04").update(starts_at=NOW)

    codes = {change.code for change in preview("SITE-1", {"company.adults_in_sight": "3"}).sessions}

    assert codes == {f"S{number:02}" for number in range(1, 15)} - {"S03", "S04"}


def test_no_change_is_no_preview(small_day: Session) -> None:
    with pytest.raises(RuleSetRefused, match="Nothing was changed"):
        preview("SITE-1", {"company.adults_in_sight": "2"})
