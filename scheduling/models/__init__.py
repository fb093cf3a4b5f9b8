"""The people, the sessions, the rosters and the mail, as kept."""

from scheduling.models.groups import SchoolGroup
from scheduling.models.outbox import InviteState, Message
from scheduling.models.people import CheckRecord, ConsentRecord, Person, SkillRecord
from scheduling.models.rosters import Roster, RosterPlace, RosterUnits
from scheduling.models.sessions import PlannedWork, Season, SeasonPlan, Session
from scheduling.models.signups import SignUp

__all__ = [
    "CheckRecord",
    "ConsentRecord",
    "InviteState",
    "Message",
    "Person",
    "PlannedWork",
    "Roster",
    "RosterPlace",
    "RosterUnits",
    "SchoolGroup",
    "Season",
    "SeasonPlan",
    "Session",
    "SignUp",
    "SkillRecord",
]
