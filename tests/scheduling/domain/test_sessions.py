"""The clock of a session holds its lengths, whatever the wall clock does."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from scheduling.domain.sessions import SessionClock


def clock(starts_at: datetime, zone: str = "Europe/Paris") -> SessionClock:
    return SessionClock(
        starts_at=starts_at,
        time_zone=zone,
        briefing_min=20,
        rounds=4,
        round_min=30,
        break_min=10,
        packing_min=10,
    )


def test_rounds_follow_the_briefing_with_a_break_between_two():
    times = clock(datetime(2027, 4, 17, 9, 0, tzinfo=ZoneInfo("Europe/Paris"))).round_times()
    assert [(f"{t.starts_at:%H:%M}", f"{t.ends_at:%H:%M}") for t in times] == [
        ("09:20", "09:50"),
        ("10:00", "10:30"),
        ("10:40", "11:10"),
        ("11:20", "11:50"),
    ]


def test_the_session_ends_when_all_is_packed_up():
    ends_at = clock(datetime(2027, 4, 17, 9, 0, tzinfo=ZoneInfo("Europe/Paris"))).ends_at()
    assert f"{ends_at:%H:%M}" == "12:00"


def test_working_minutes_leave_briefing_breaks_and_packing_out():
    assert clock(datetime(2027, 4, 17, 7, 0, tzinfo=UTC)).working_min == 120


def test_lengths_hold_across_a_change_of_clocks():
    # 28 March 2027, 02:00 becomes 03:00 in the European Union (Directive 2000/84/EC).
    times = clock(datetime(2027, 3, 28, 1, 20, tzinfo=ZoneInfo("Europe/Paris"))).round_times()
    assert f"{times[0].starts_at:%H:%M}" == "01:40"
    assert f"{times[0].ends_at:%H:%M}" == "03:10"
    elapsed = times[0].ends_at.astimezone(UTC) - times[0].starts_at.astimezone(UTC)
    assert elapsed == timedelta(minutes=30)
