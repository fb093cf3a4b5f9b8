"""Who gets an invite, what it says, and what it keeps to itself."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from scheduling.domain.people import PersonId
from scheduling.domain.published import RosterPerson
from scheduling.invites.content import (
    build_fingerprint,
    build_invites,
    build_session_invite,
    find_unreachable,
    withdraw_invite,
)
from scheduling.invites.text import InviteError
from tests.scheduling.invites.orchard_day import (
    ADA,
    MINA,
    NOBODY,
    PEOPLE,
    PUPIL_1,
    PUPIL_2,
    build_roster,
    build_session,
    build_site,
)


def _invites(roster=None, sequence=None, **options):
    return build_invites(roster or build_roster(), sequence=sequence or {}, **options)


def _to(address, invites):
    (found,) = [invite for invite in invites if invite.attendee_email == address]
    return found


def test_everyone_with_an_address_gets_one_invite_and_a_class_gets_one():
    assert [invite.attendee_email for invite in _invites()] == [
        "ada@example.org",
        "beno@example.org",
        "ulla@example.org",
        "rosa@example.org",
        "school@example.org",
    ]


def test_those_without_a_usable_address_are_named():
    people = (
        *PEOPLE,
        RosterPerson(PersonId(8), "Pia L.", False, (), mail_to="pia at example.org"),
        RosterPerson(PersonId(9), "Leo M.", False, (), mail_to="leo@example.org\r\nBCC:x@y.z"),
    )
    roster = build_roster(people)

    assert [person.id for person in find_unreachable(roster)] == [NOBODY, 8, 9]
    assert len(_invites(roster)) == 5


def test_a_person_reads_role_rounds_task_holes_and_crew():
    text = _to("beno@example.org", _invites()).description

    assert "Role on the day: first aider" in text
    assert (
        "Round 1, 09:20–09:50: Core Pocket P1, holes 1–24, with Ada (crew lead) and 1 young person"
        in text
    )
    assert "Round 2, 10:00–10:30: no task set: rest, or ask the session lead" in text
    assert "Meeting point: The blue shed" in text
    assert "Bring: Stout shoes, water" in text


def test_the_guardian_gets_the_childs_invite():
    invite = _to("ulla@example.org", _invites())

    assert invite.summary == "Coring in Pocket P1, Depot Orchard: for Mina"
    assert invite.attendee_name == "Ulla Winterbourne"
    assert "with Ada (crew lead) and Beno" in invite.description


def test_a_child_is_named_to_nobody_elses_household():
    others = [invite for invite in _invites() if invite.attendee_email != "ulla@example.org"]

    assert others
    for invite in others:
        assert "Mina" not in repr(invite)
        assert "Winterbourne" not in repr(invite)


def test_other_adults_are_named_without_initial_or_address():
    for invite in _invites():
        assert "Beno T." not in invite.description
        assert "Ada Q." not in invite.description
        for address in ("ada@", "beno@", "ulla@", "rosa@", "school@"):
            assert address not in invite.description


def test_the_liaison_reads_how_many_pupils_do_what():
    invite = _to("school@example.org", _invites())

    assert invite.attendee_name == "Ivo Marsh"
    assert invite.summary.endswith("for Heron class")
    assert "Pupils on the roster: 2" in invite.description
    assert "Round 1, 09:20–09:50: 2 pupils: rest" in invite.description
    assert (
        "1 pupil: Weed ring T04 (Pocket P1), with Ada (crew lead) and Rosa; 1 pupil: rest"
        in invite.description
    )


def test_pupils_of_one_class_with_two_addresses_make_two_invites_with_their_own_uids():
    elsewhere = replace(PEOPLE[5], mail_to="second@example.org")
    before = _to("school@example.org", _invites())
    invites = _invites(build_roster((*PEOPLE[:5], elsewhere)))
    first, second = invites[-2:]

    assert (first.attendee_email, second.attendee_email) == (
        "school@example.org",
        "second@example.org",
    )
    assert first.uid == before.uid
    assert second.uid != first.uid


def test_the_uid_outlives_changes_of_roster_name_address_and_time():
    renamed = replace(PEOPLE[0], name="Adele Q.", mail_to="adele@example.org")
    later = build_session(first=(10, 0))
    after = _invites(build_roster((renamed, *PEOPLE[1:]), session=later, assignments=()))

    assert after[0].uid == _invites()[0].uid


def test_uids_differ_between_people_sessions_and_sites():
    rosters = (
        build_roster(),
        build_roster(session=build_session(code="S04")),
        build_roster(site=build_site(code="mill")),
        # The same letters cut at another place must not meet.
        build_roster(site=build_site(code="depotS"), session=build_session(code="03")),
    )
    uids = [invite.uid for roster in rosters for invite in _invites(roster)]
    uids += [build_session_invite(roster.site, roster.session).uid for roster in rosters]

    assert len(uids) == 24
    assert len(set(uids)) == 24


def test_the_same_codes_in_another_season_are_other_entries():
    """RFC 5545 section 3.8.4.7: a UID is globally unique; session codes begin anew each season."""
    this, next_ = (build_roster(session=build_session(season=year)) for year in ("2027", "2028"))

    uids = [invite.uid for roster in (this, next_) for invite in _invites(roster)]

    assert len(set(uids)) == len(uids) == 10


def test_sequence_is_taken_per_person_and_a_class_takes_the_highest():
    invites = _invites(sequence={ADA: 2, MINA: 1, PUPIL_1: 3, PUPIL_2: 5})

    assert [invite.sequence for invite in invites] == [2, 0, 1, 0, 5]


def test_the_fingerprint_changes_with_what_is_read_and_with_nothing_else():
    first = _invites()[1]
    again = _invites(sequence=dict.fromkeys((1, 2, 3, 4), 4))[1]
    moved = _invites(build_roster(session=build_session(meeting_point="The pump")))[1]

    assert build_fingerprint(again) == build_fingerprint(first)
    assert build_fingerprint(moved) != build_fingerprint(first)


def test_withdrawing_raises_the_sequence_once():
    withdrawn = withdraw_invite(_invites(sequence={ADA: 2})[0])

    assert (withdrawn.method, withdrawn.sequence, withdrawn.alarms) == ("CANCEL", 3, ())
    assert withdraw_invite(withdrawn) == withdrawn


def test_reminders_stand_at_six_the_evening_before_and_two_hours_before():
    invite = _invites()[0]

    assert [invite.starts_at - alarm.before for alarm in invite.alarms] == [
        datetime(2027, 4, 16, 17, 0, tzinfo=UTC),  # 18:00 summer time
        datetime(2027, 4, 17, 6, 0, tzinfo=UTC),
    ]


def test_the_evening_before_the_clocks_change_is_still_six_oclock():
    # Clocks go forward on 28 March 2027 in Ireland (Directive 2000/84/EC: last Sunday in March).
    session = build_session(day=(2027, 3, 28))
    evening = build_session_invite(build_site(), session).alarms[0]

    assert evening.before == timedelta(hours=14)


def test_the_page_is_linked_when_its_address_is_known():
    linked = _invites(base_url="https://orchard.example/")[0]

    assert linked.url == "https://orchard.example/sessions/S03/"
    roster = build_roster(session=build_session(season="2027/28"))
    of_its_season = _invites(roster, base_url="https://orchard.example/")[0]
    assert of_its_season.url == "https://orchard.example/seasons/2027%2F28/sessions/S03/"
    assert _invites()[0].url == ""


def test_a_line_break_in_a_name_makes_no_line_of_its_own():
    lead = replace(PEOPLE[0], name="Ada\r\nRound 9: go home", roles=("crew\nlead",))
    site = build_site(name="Depot\nOrchard", organiser_name="Office\nRound 9")
    invites = _invites(build_roster((lead, *PEOPLE[1:]), site=site))

    assert len(invites) == 5
    for invite in invites:
        assert "\nRound 9" not in invite.description
        assert "\n" not in invite.summary + invite.location + invite.attendee_name


def test_an_unknown_time_zone_is_named_with_a_remedy():
    with pytest.raises(InviteError, match="“Mars/Base” is not a time zone of the tz database"):
        _invites(build_roster(site=build_site("Mars/Base")))


def test_a_session_that_does_not_end_after_its_start_is_refused():
    with pytest.raises(InviteError, match=r"S03 ends at 09:00 on 2027-04-17, which is not after"):
        _invites(build_roster(session=build_session(last=(9, 0))))


def test_nobody_on_the_roster_means_no_invites():
    assert _invites(build_roster(())) == ()
    assert find_unreachable(build_roster(())) == ()
