"""One small published roster to build invites from: seven people, two tasks, two rounds."""

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from orchard.domain.effort import Effort
from orchard.domain.place import Place
from orchard.domain.plan import Hole, PlannedTask
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.published import (
    DayTask,
    EmergencyFacts,
    PublishedRoster,
    RosterPerson,
    RoundTimes,
    SessionFacts,
    SiteFacts,
)
from scheduling.domain.roster import Assignment, Roster

STAMP = datetime(2027, 3, 1, 12, 0, 0, tzinfo=UTC)

ADA, BENO, MINA, ROSA, PUPIL_1, PUPIL_2, NOBODY = (PersonId(n) for n in (1, 2, 3, 4, 5, 6, 7))
CORE, WEED = TaskId(10), TaskId(11)


def build_site(time_zone="Europe/Dublin", **changes):
    """Return the site, by default in a zone with summer time."""
    emergency = EmergencyFacts(
        entrance="Tram Lane gate",
        latitude=53.271234,
        longitude=-9.056789,
        number="112",
        nearest_emergency_department="Harbour Hospital",
        muster_point="The pump",
        shelter="The shed",
    )
    site = SiteFacts(
        code="depot",
        name="Depot Orchard",
        town="Carrowmore",
        organiser_name="Orchard office",
        organiser_email="orchard@example.org",
        time_zone=time_zone,
        emergency=emergency,
    )
    return replace(site, **changes)


def build_session(zone="Europe/Dublin", day=(2027, 4, 17), first=(9, 0), last=(12, 0), **changes):
    """Return a session with two rounds, given as wall-clock times in a zone."""
    tz = ZoneInfo(zone)
    session = SessionFacts(
        code="S03",
        title="Coring in Pocket P1",
        starts_at=datetime(*day, *first, tzinfo=tz),
        ends_at=datetime(*day, *last, tzinfo=tz),
        rounds=(
            RoundTimes(1, datetime(*day, 9, 20, tzinfo=tz), datetime(*day, 9, 50, tzinfo=tz)),
            RoundTimes(2, datetime(*day, 10, 0, tzinfo=tz), datetime(*day, 10, 30, tzinfo=tz)),
        ),
        meeting_point="The blue shed",
        bring="Stout shoes, water",
        purpose="The first pocket is bored and filled again.",
    )
    return replace(session, **changes)


def build_task(task_id, title, kind="weed", holes=()):
    """Return a task of the day with nothing in it that an invite leaves out."""
    planned = PlannedTask(
        key=f"task-{task_id}",
        treatment="COR",
        planned="line-1",
        kind=kind,
        title=title,
        where="Pocket P1",
        zone="north",
        trees=(),
        pocket="P1",
        units=24,
        unit="hole",
        effort=Effort(1, 2, 3),
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(),
        materials=(),
        cost_cents=0,
        minimum_age=0,
        heavy=False,
        kneeling=False,
        opens_ground=bool(holes),
        windows=(),
        after=(),
        closes="",
        priority=3,
        value_per_unit=1,
        holes=tuple(Hole(number, (float(number), 0.0)) for number in holes),
        ground=(),
        steps=(),
        cautions=(),
    )
    return DayTask(task_id, 24, planned)


PEOPLE = (
    RosterPerson(ADA, "Ada Q.", False, ("session lead", "crew lead"), mail_to="ada@example.org"),
    RosterPerson(BENO, "Beno T.", False, ("first aider",), mail_to="beno@example.org"),
    RosterPerson(
        MINA,
        "Mina",
        True,
        (),
        "Ulla Winterbourne",
        mail_to="ulla@example.org",
        mail_name="Ulla Winterbourne",
    ),
    RosterPerson(
        ROSA,
        "Rosa K.",
        False,
        ("supervising adult",),
        group_name="Heron class",
        mail_to="rosa@example.org",
    ),
    RosterPerson(
        PUPIL_1,
        "1",
        True,
        (),
        group_name="Heron class",
        mail_to="school@example.org",
        mail_name="Ivo Marsh",
    ),
    RosterPerson(
        PUPIL_2,
        "2",
        True,
        (),
        group_name="Heron class",
        mail_to="school@example.org",
        mail_name="Ivo Marsh",
    ),
    RosterPerson(NOBODY, "Otto V.", False, ()),
)

ASSIGNMENTS = (
    Assignment(ADA, 0, CORE),
    Assignment(BENO, 0, CORE),
    Assignment(MINA, 0, CORE),
    Assignment(ADA, 1, WEED),
    Assignment(ROSA, 1, WEED),
    Assignment(PUPIL_1, 1, WEED),
)


def build_roster(people=PEOPLE, site=None, session=None, assignments=ASSIGNMENTS):
    """Return the published roster of one session."""
    return PublishedRoster(
        site=site or build_site(),
        session=session or build_session(),
        place=Place("Depot Orchard", (), (), (), ()),
        pockets=(),
        people=people,
        tasks=(
            build_task(CORE, "Core Pocket P1", "core", range(1, 25)),
            build_task(WEED, "Weed ring T04"),
        ),
        tools=(),
        materials=(),
        roster=Roster(assignments, ()),
        version=1,
        published_at=STAMP,
    )
