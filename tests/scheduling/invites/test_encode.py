"""Calendar files against the clauses of RFC 5545, RFC 5546 and RFC 7986.

Each test is named by its clause. Files are read back by the library's parser,
by vobject (which reads the VTIMEZONE, not the zone's name) and as plain octets.
"""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from urllib.parse import unquote
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from scheduling.invites.content import build_invites
from scheduling.invites.encode import encode_cancel, encode_invite, encode_session_file
from scheduling.invites.text import InviteError
from tests.scheduling.invites.orchard_day import (
    STAMP,
    build_roster,
    build_session,
    build_site,
)

INVITE = build_invites(build_roster(), sequence={}, base_url="https://orchard.example")[0]
FILES = {
    "REQUEST": encode_invite(INVITE, stamp=STAMP),
    "CANCEL": encode_cancel(INVITE, stamp=STAMP),
    "PUBLISH": encode_session_file(build_site(), build_session(), stamp=STAMP),
}
each_file = pytest.mark.parametrize("method", sorted(FILES))


def _lines(written):
    """Return the unfolded content lines (RFC 5545 section 3.1)."""
    return written.decode().replace("\r\n ", "").removesuffix("\r\n").split("\r\n")


def _starting(written, *names):
    return [line for line in _lines(written) if re.split("[;:]", line)[0] in names]


def _event(written):
    (event,) = Calendar.from_ical(written).events
    return event


@each_file
def test_rfc5545_3_1_lines_end_in_crlf_and_hold_at_most_75_octets(method):
    written = FILES[method]

    assert written.endswith(b"END:VCALENDAR\r\n")
    assert b"\r" not in written.replace(b"\r\n", b"")
    assert b"\n" not in written.replace(b"\r\n", b"")
    assert max(len(line) for line in written.split(b"\r\n")) <= 75


@each_file
def test_rfc5545_3_1_4_is_utf8_without_a_byte_order_mark(method):
    assert FILES[method].startswith(b"BEGIN:VCALENDAR\r\n")
    for line in FILES[method].split(b"\r\n"):
        line.decode("utf-8")  # a fold inside a character would not decode


@each_file
def test_rfc5545_3_4_one_calendar_with_version_and_product_once(method):
    lines = _lines(FILES[method])

    assert lines.count("BEGIN:VCALENDAR") == 1
    assert lines.count("VERSION:2.0") == 1
    assert len(_starting(FILES[method], "PRODID")) == 1


@each_file
def test_rfc5545_3_6_1_event_has_one_uid_and_one_stamp_in_utc(method):
    assert len(_starting(FILES[method], "UID")) == 1
    assert _starting(FILES[method], "DTSTAMP") == ["DTSTAMP:20270301T120000Z"]


@each_file
def test_rfc5545_3_6_1_event_has_start_and_later_end_and_no_duration(method):
    event = _event(FILES[method])

    of_event = _lines(FILES[method])[_lines(FILES[method]).index("BEGIN:VEVENT") :]
    names = [re.split("[;:]", line)[0] for line in of_event]

    assert [names.count(name) for name in ("DTSTART", "DTEND", "DURATION")] == [1, 1, 0]
    assert event.end > event.start


@each_file
def test_rfc5545_3_6_5_every_tzid_has_its_vtimezone(method):
    used = set(
        re.findall(r"^DT(?:START|END);TZID=([^:]+):", "\n".join(_lines(FILES[method])), re.M)
    )
    defined = {line.removeprefix("TZID:") for line in _starting(FILES[method], "TZID")}

    assert used == defined == {"Europe/Dublin"}


def test_rfc5545_3_3_5_times_in_utc_end_in_z_and_carry_no_tzid():
    written = encode_session_file(build_site("UTC"), build_session(), stamp=STAMP)

    assert _starting(written, "DTSTART", "DTEND") == [
        "DTSTART:20270417T080000Z",
        "DTEND:20270417T110000Z",
    ]
    assert b"VTIMEZONE" not in written


def test_rfc5545_3_3_11_text_is_escaped():
    awkward = 'Rows; 3, 4 \\ "old"\nand new'
    written = encode_invite(replace(INVITE, description=awkward), stamp=STAMP)
    (line,) = [ln for ln in _lines(written) if ln.startswith("DESCRIPTION:Rows")]

    assert line == 'DESCRIPTION:Rows\\; 3\\, 4 \\\\ "old"\\nand new'
    assert str(_event(written)["DESCRIPTION"]) == awkward
    assert vobject.readOne(written.decode()).vevent.description.value == awkward


def test_rfc5545_3_8_1_6_position_is_latitude_then_longitude():
    assert _starting(FILES["REQUEST"], "GEO") == ["GEO:53.271234;-9.056789"]


@pytest.mark.parametrize(
    ("latitude", "longitude", "line"),
    [
        (0.00001, -0.00002, "GEO:0.0;0.0"),  # FLOAT knows no exponent (RFC 5545 section 3.3.7)
        (-90.0, 180.0, "GEO:-90.0;180.0"),
        (51.12345678, 0.5, "GEO:51.123457;0.5"),
    ],
)
def test_rfc5545_3_3_7_position_is_written_without_an_exponent(latitude, longitude, line):
    written = encode_invite(replace(INVITE, latitude=latitude, longitude=longitude), stamp=STAMP)

    assert _starting(written, "GEO") == [line]


@pytest.mark.parametrize(("latitude", "longitude"), [(91.0, 0.0), (0.0, -181.0), (float("nan"), 0)])
def test_a_position_off_the_earth_is_refused(latitude, longitude):
    with pytest.raises(InviteError, match="degrees run to 90 and 180"):
        encode_invite(replace(INVITE, latitude=latitude, longitude=longitude), stamp=STAMP)


def test_rfc5545_3_6_6_display_alarms_have_action_trigger_and_description():
    alarms = [part for part in _event(FILES["REQUEST"]).subcomponents if part.name == "VALARM"]

    assert [str(alarm["ACTION"]) for alarm in alarms] == ["DISPLAY", "DISPLAY"]
    assert [alarm["TRIGGER"].dt for alarm in alarms] == [timedelta(hours=-15), timedelta(hours=-2)]
    assert [str(alarm["DESCRIPTION"]) for alarm in alarms] == [
        "Tomorrow: Coring in Pocket P1. Bring: Stout shoes, water",
        "In two hours: Coring in Pocket P1",
    ]


@each_file
def test_rfc5546_1_4_method_stands_once_before_the_components(method):
    lines = _lines(FILES[method])

    assert len(_starting(FILES[method], "METHOD")) == 1
    assert lines.index(f"METHOD:{method}") < lines.index("BEGIN:VTIMEZONE")


def test_rfc5546_3_2_2_request_names_organiser_attendee_summary_and_confirmed_status():
    event = _event(FILES["REQUEST"])

    assert event.organizer.email == "orchard@example.org"
    assert [attendee.email for attendee in event.attendees] == ["ada@example.org"]
    assert event.attendees[0].params["PARTSTAT"] == "NEEDS-ACTION"
    assert event.attendees[0].params["RSVP"] == "TRUE"
    assert str(event["SUMMARY"]) == "Coring in Pocket P1, Depot Orchard"
    assert str(event["STATUS"]) == "CONFIRMED"
    assert event.sequence == 0


def test_rfc5546_3_2_5_cancel_has_the_same_uid_and_a_higher_sequence():
    cancelled, invited = _event(FILES["CANCEL"]), _event(FILES["REQUEST"])

    assert cancelled.uid == invited.uid
    assert cancelled.sequence == invited.sequence + 1
    assert [a.email for a in cancelled.attendees] == ["ada@example.org"]
    assert cancelled.organizer.email == "orchard@example.org"
    assert str(cancelled["STATUS"]) == "CANCELLED"


def test_rfc5546_3_2_5_cancel_has_no_alarm_request_status_or_recurrence():
    for name in (b"VALARM", b"REQUEST-STATUS", b"RECURRENCE-ID", b"RSVP"):
        assert name not in FILES["CANCEL"]


def test_rfc5546_3_2_1_publish_has_an_organiser_and_no_attendee():
    assert b"ATTENDEE" not in FILES["PUBLISH"]
    assert _event(FILES["PUBLISH"]).organizer.email == "orchard@example.org"


@each_file
def test_rfc5546_3_2_one_event_only(method):
    assert _lines(FILES[method]).count("BEGIN:VEVENT") == 1


def test_rfc7986_5_3_no_uid_on_the_calendar_itself():
    assert "UID" not in Calendar.from_ical(FILES["REQUEST"])


def test_rfc7986_5_3_uid_is_a_uuid_without_personal_data():
    uid = str(_event(FILES["REQUEST"]).uid)

    assert re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", uid)


def test_rfc5545_3_8_1_3_names_of_others_make_an_invite_private_and_a_session_public():
    assert _starting(FILES["REQUEST"], "CLASS") == ["CLASS:PRIVATE"]
    assert _starting(FILES["PUBLISH"], "CLASS") == ["CLASS:PUBLIC"]


def test_the_same_invite_and_stamp_give_the_same_bytes():
    assert encode_invite(INVITE, stamp=STAMP) == FILES["REQUEST"]
    assert encode_cancel(INVITE, stamp=STAMP) == FILES["CANCEL"]


def test_a_stamp_in_any_zone_is_written_in_utc_and_a_naive_one_refused():
    local = STAMP.astimezone(ZoneInfo("America/New_York"))

    assert encode_invite(INVITE, stamp=local) == FILES["REQUEST"]
    with pytest.raises(InviteError, match="needs a time zone"):
        encode_invite(INVITE, stamp=STAMP.replace(tzinfo=None))


def test_a_withdrawal_cannot_go_out_as_an_invitation():
    with pytest.raises(InviteError, match="method PUBLISH cannot be sent as an invitation"):
        encode_invite(replace(INVITE, method="PUBLISH"), stamp=STAMP)


# Changes of clocks: Directive 2000/84/EC (last Sundays of March and October, 01:00 UTC);
# United States Code, title 15, section 260a (second Sunday of March, first of November, 02:00);
# tz database, files africa (Morocco: summer time suspended 7 February to 14 March 2027) and
# australasia (Lord Howe: half an hour on the first Sunday of October).
CHANGES = [
    ("Europe/Dublin", (2027, 3, 28), (0, 30), "2027-03-28T00:30"),
    ("Europe/Dublin", (2027, 3, 28), (2, 30), "2027-03-28T01:30"),
    ("Europe/Dublin", (2027, 3, 28), (9, 0), "2027-03-28T08:00"),
    ("Europe/Berlin", (2027, 10, 31), (9, 0), "2027-10-31T08:00"),
    ("Europe/Berlin", (2027, 10, 30), (9, 0), "2027-10-30T07:00"),
    ("America/New_York", (2027, 3, 13), (9, 0), "2027-03-13T14:00"),
    ("America/New_York", (2027, 3, 14), (9, 0), "2027-03-14T13:00"),
    ("America/New_York", (2027, 11, 7), (0, 30), "2027-11-07T04:30"),
    ("America/New_York", (2027, 11, 7), (9, 0), "2027-11-07T14:00"),
    ("Africa/Casablanca", (2027, 2, 14), (9, 0), "2027-02-14T09:00"),
    ("Australia/Lord_Howe", (2027, 10, 3), (9, 0), "2027-10-02T22:00"),
    ("Asia/Kolkata", (2027, 3, 28), (9, 0), "2027-03-28T03:30"),
]


@pytest.mark.parametrize(("zone", "day", "first", "instant"), CHANGES)
def test_rfc5545_3_6_5_the_zone_written_out_gives_the_right_instant(zone, day, first, instant):
    session = build_session(zone, day, first, (12, 0))
    written = encode_session_file(build_site(zone), session, stamp=STAMP)
    expected = datetime.fromisoformat(instant).replace(tzinfo=UTC)

    assert vobject.readOne(written.decode()).vevent.dtstart.value.astimezone(UTC) == expected
    assert _event(written).start.astimezone(UTC) == expected


def test_rfc5545_3_6_5_onset_is_local_time_before_the_change():
    written = encode_session_file(
        build_site("America/New_York"), build_session("America/New_York"), stamp=STAMP
    )
    onsets = [line for line in _starting(written, "RDATE") if "20270314" in line]

    # RFC 5545's own New York example starts daylight time at 02:00, not 03:00.
    assert len(onsets) == 1
    assert "20270314T020000" in onsets[0]


def test_rfc5545_3_3_5_the_second_of_two_equal_local_times_is_written_in_utc():
    new_york = ZoneInfo("America/New_York")
    second = datetime(2027, 11, 7, 1, 30, tzinfo=new_york, fold=1)
    session = replace(build_session("America/New_York", (2027, 11, 7)), starts_at=second)
    written = encode_session_file(build_site("America/New_York"), session, stamp=STAMP)

    assert "DTSTART:20271107T063000Z" in _lines(written)


def test_rfc5545_3_3_5_a_time_that_the_change_skips_is_the_one_after_it():
    # RFC 5545: "TZID=America/New_York:20070311T023000 indicates March 11, 2007 at 3:30 A.M. EDT".
    session = build_session("America/New_York", (2007, 3, 11), (2, 30))
    written = encode_session_file(build_site("America/New_York"), session, stamp=STAMP)

    assert "DTSTART;TZID=America/New_York:20070311T033000" in _lines(written)


NASTY = st.text(
    st.one_of(
        st.sampled_from(
            "\r\n\t\x00\x1b\x85\u2028\u2029\u202e,;:\\\"^'=<>&\ufeff\ud800ạễż😀👩\u200d🌾"
        ),
        st.characters(),
    ),
    max_size=120,
)


@settings(deadline=None)  # a busy machine is not a fault
@given(NASTY, NASTY, NASTY, NASTY)
def test_rfc5545_3_1_no_name_or_text_adds_breaks_or_lengthens_a_line(name, title, office, text):
    invite = replace(
        INVITE,
        attendee_name=name,
        summary=title,
        organizer_name=office,
        description=text,
        location=title,
    )
    written = encode_invite(invite, stamp=STAMP)

    assert b"\n" not in written.replace(b"\r\n", b"")
    assert b"\r" not in written.replace(b"\r\n", b"")
    assert max(len(line) for line in written.split(b"\r\n")) <= 75
    names = [re.split("[;:]", line)[0] for line in _lines(written)]
    plain = [re.split("[;:]", line)[0] for line in _lines(FILES["REQUEST"])]
    assert [n for n in names if n not in {"LOCATION", "DESCRIPTION", "SUMMARY"}] == [
        n for n in plain if n not in {"LOCATION", "DESCRIPTION", "SUMMARY"}
    ]
    assert encode_invite(invite, stamp=STAMP) == written


@settings(deadline=None)  # a busy machine is not a fault
@given(NASTY, NASTY)
def test_rfc6868_3_names_come_back_through_both_parsers(name, title):
    invite = replace(INVITE, attendee_name=f"A{name}Z", summary=f"A{title}Z")
    written = encode_invite(invite, stamp=STAMP)
    event = _event(written)
    second = vobject.readOne(written.decode()).vevent

    assert str(event["SUMMARY"]) == second.summary.value
    assert str(event["SUMMARY"]).startswith("A")
    assert str(event["SUMMARY"]).endswith("Z")
    assert event.attendees[0].email == "ada@example.org"
    assert second.attendee.value == "mailto:ada@example.org"
    assert event.attendees[0].CN[0] + event.attendees[0].CN[-1] == "AZ"


def test_rfc6868_3_quotes_and_carets_in_a_name_come_back():
    name = 'Nguyễn "Ngọc" ^ d\'Arcy, Zoë; \\o/'
    event = _event(encode_invite(replace(INVITE, attendee_name=name), stamp=STAMP))

    assert name == event.attendees[0].CN


@pytest.mark.parametrize(
    "address",
    [
        "",
        "nobody",
        "a b@example.org",
        "a@b@c",
        "a@example.org\r\nATTENDEE:mailto:b@c.d",
        "a@.org",
        "a@example.org;X=1",
        '"a"@example.org',
        "<a@example.org>",
        "a..b@example.org",
        "x" * 250 + "@example.org",
    ],
)
def test_an_address_that_is_not_one_bare_address_is_refused(address):
    with pytest.raises(InviteError, match="is not a mail address an invite can carry"):
        encode_invite(replace(INVITE, attendee_email=address), stamp=STAMP)
    with pytest.raises(InviteError, match="is not a mail address an invite can carry"):
        encode_invite(replace(INVITE, organizer_email=address), stamp=STAMP)


@pytest.mark.parametrize(
    "address", ["a.b+orchard@example.org", "a&b%c@example.org", "zoë@büro.example"]
)
def test_rfc6068_2_addresses_are_percent_encoded(address):
    written = encode_invite(replace(INVITE, attendee_email=address), stamp=STAMP)
    (line,) = _starting(written, "ATTENDEE")
    uri = line.rpartition(":mailto:")[2]

    assert uri.isascii()
    assert unquote(uri) == address
