"""The people, the sessions, the rules, the rosters and the mail, as kept."""

from scheduling.models.care import (
    ConsentForm,
    DayContact,
    Erasure,
    FirstAidNote,
    NoteView,
    PeopleRules,
)
from scheduling.models.day_sheets import SessionGround, WeatherSheet
from scheduling.models.groups import ClassRequest, SchoolGroup, VisitNumbers
from scheduling.models.locks import RosterLock
from scheduling.models.outbox import (
    CalendarFeed,
    InviteState,
    KeptReply,
    MailWish,
    Message,
)
from scheduling.models.people import (
    CheckRecord,
    CompanyWish,
    ConsentRecord,
    Person,
    SaidSkill,
    SkillRecord,
)
from scheduling.models.records import SessionRecord, WorkRecord
from scheduling.models.rosters import Roster, RosterPlace, RosterUnits
from scheduling.models.rule_sets import Adoption, RuleSetVersion
from scheduling.models.runs import SearchRun, SearchWorker
from scheduling.models.sessions import PlannedWork, Season, SeasonPlan, Session
from scheduling.models.signups import SignUp
from scheduling.models.waivers import Waiver

__all__ = [
    "Adoption",
    "CalendarFeed",
    "CheckRecord",
    "ClassRequest",
    "CompanyWish",
    "ConsentForm",
    "ConsentRecord",
    "DayContact",
    "Erasure",
    "FirstAidNote",
    "InviteState",
    "KeptReply",
    "MailWish",
    "Message",
    "NoteView",
    "PeopleRules",
    "Person",
    "PlannedWork",
    "Roster",
    "RosterLock",
    "RosterPlace",
    "RosterUnits",
    "RuleSetVersion",
    "SaidSkill",
    "SchoolGroup",
    "SearchRun",
    "SearchWorker",
    "Season",
    "SeasonPlan",
    "Session",
    "SessionGround",
    "SessionRecord",
    "SignUp",
    "SkillRecord",
    "VisitNumbers",
    "Waiver",
    "WeatherSheet",
    "WorkRecord",
]
