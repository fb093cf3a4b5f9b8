"""Calendar files before libical, whose restriction check knows RFC 5546's tables.

libical is a C library written without any of the code used here. Run by
`.ci/run`, where a missing library is a failure.
"""

import ctypes
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from scheduling.invites.content import build_invites
from scheduling.invites.encode import encode_cancel, encode_invite, encode_session_file
from tests.scheduling.invites.orchard_day import (
    STAMP,
    build_roster,
    build_session,
    build_site,
)

pytestmark = pytest.mark.libical


class _Time(ctypes.Structure):
    """`struct icaltimetype` of libical 3."""

    _fields_ = (
        *((name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second")),
        ("is_date", ctypes.c_int),
        ("is_daylight", ctypes.c_int),
        ("zone", ctypes.c_void_p),
    )


@pytest.fixture(scope="module")
def libical():
    """Return the library with the types of the functions used."""
    library = ctypes.CDLL("libical.so.3")
    pointer = ctypes.c_void_p
    library.icalparser_parse_string.restype = pointer
    library.icalparser_parse_string.argtypes = (ctypes.c_char_p,)
    library.icalrestriction_check.restype = ctypes.c_int
    library.icalrestriction_check.argtypes = (pointer,)
    library.icalcomponent_count_errors.restype = ctypes.c_int
    library.icalcomponent_count_errors.argtypes = (pointer,)
    library.icalcomponent_string_to_kind.restype = ctypes.c_int
    library.icalcomponent_string_to_kind.argtypes = (ctypes.c_char_p,)
    library.icalcomponent_get_first_component.restype = pointer
    library.icalcomponent_get_first_component.argtypes = (pointer, ctypes.c_int)
    for get_time in (library.icalcomponent_get_dtstart, library.icalcomponent_get_dtend):
        get_time.restype = _Time
        get_time.argtypes = (pointer,)
    library.icaltime_as_timet_with_zone.restype = ctypes.c_long
    library.icaltime_as_timet_with_zone.argtypes = (_Time, pointer)
    library.icalcomponent_free.argtypes = (pointer,)
    return library


def _errors(libical, written):
    """Return (restrictions met, number of errors) of a file."""
    component = libical.icalparser_parse_string(written)
    assert component
    met = libical.icalrestriction_check(component)
    count = libical.icalcomponent_count_errors(component)
    libical.icalcomponent_free(component)
    return bool(met), count


def _instants(libical, written):
    """Return start and end as libical works them out from the VTIMEZONE in the file."""
    calendar = libical.icalparser_parse_string(written)
    kind = libical.icalcomponent_string_to_kind(b"VEVENT")
    event = libical.icalcomponent_get_first_component(calendar, kind)
    times = (libical.icalcomponent_get_dtstart(event), libical.icalcomponent_get_dtend(event))
    seconds = [libical.icaltime_as_timet_with_zone(each, each.zone) for each in times]
    libical.icalcomponent_free(calendar)
    return tuple(datetime.fromtimestamp(second, UTC) for second in seconds)


def test_every_invite_and_its_withdrawal_meet_the_restrictions(libical):
    invites = build_invites(build_roster(), sequence={}, base_url="https://orchard.example")

    assert len(invites) == 5
    for invite in invites:
        assert _errors(libical, encode_invite(invite, stamp=STAMP)) == (True, 0)
        assert _errors(libical, encode_cancel(invite, stamp=STAMP)) == (True, 0)


def test_a_session_file_meets_the_restrictions(libical):
    written = encode_session_file(build_site(), build_session(), stamp=STAMP)

    assert _errors(libical, written) == (True, 0)


def test_the_check_sees_a_request_without_an_organiser(libical):
    invite = build_invites(build_roster(), sequence={})[0]
    lines = encode_invite(invite, stamp=STAMP).split(b"\r\n")
    broken = b"\r\n".join(line for line in lines if not line.startswith(b"ORGANIZER"))

    assert _errors(libical, broken) != (True, 0)


def test_nasty_names_meet_the_restrictions(libical):
    nasty = 'A\r\nATTENDEE:mailto:x@y.z\r\n"; , \\ ^n 👩\u200d🌾 ễ\u2028\x00 Z'
    invite = replace(
        build_invites(build_roster(), sequence={})[0], attendee_name=nasty, summary=nasty
    )

    assert _errors(libical, encode_invite(invite, stamp=STAMP)) == (True, 0)


@pytest.mark.parametrize(
    ("zone", "day", "first", "last"),
    [
        ("Europe/Dublin", (2027, 3, 28), "2027-03-28T08:00", "2027-03-28T11:00"),
        ("America/New_York", (2027, 3, 14), "2027-03-14T13:00", "2027-03-14T16:00"),
        ("America/New_York", (2027, 11, 7), "2027-11-07T14:00", "2027-11-07T17:00"),
        ("Africa/Casablanca", (2027, 2, 14), "2027-02-14T09:00", "2027-02-14T12:00"),
    ],
)
def test_times_on_the_day_of_the_change_are_the_right_instants(libical, zone, day, first, last):
    written = encode_session_file(build_site(zone), build_session(zone, day), stamp=STAMP)

    assert _instants(libical, written) == tuple(
        datetime.fromisoformat(text).replace(tzinfo=UTC) for text in (first, last)
    )
