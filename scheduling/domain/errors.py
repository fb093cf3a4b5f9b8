"""The exceptions of people and sessions; the tree they hang on is `orchard.domain.errors`.

PlannerError
├── SessionUnknown    a session that is not there
├── SessionOver       a session that has begun or is done
├── NobodyComing      a roster asked for before anybody signed up
├── NoAdultComing     only young people signed up
├── NothingPlanned    a roster or season with no work in it
├── RosterUnknown     a roster that is not there, or cannot be published as it is
├── RosterBlocked     a roster with findings that block
├── LocksContradict   fixed places that no roster can hold together
├── SearchRefused     a search, or its answer, that cannot be as asked
├── AnswerRefused     an answer document for something else, or of what is gone
├── RuleSetUnknown    a rule set or an adoption that is not there
├── RuleSetRefused    a change to the rule book that cannot be
└── WaiverRefused     a finding that may not be waived, or not by this person
"""

from orchard.domain.errors import PlannerError


class SessionUnknown(PlannerError):
    """A session that is not there."""

    code = "session.unknown"


class SessionOver(PlannerError):
    """A session that is done, has begun, or cannot be called off any more."""

    code = "session.over"


class NobodyComing(PlannerError):
    """Nobody is confirmed for the session."""

    code = "roster.nobody_coming"


class NoAdultComing(PlannerError):
    """Only young people are confirmed for the session."""

    code = "roster.no_adult_coming"


class NothingPlanned(PlannerError):
    """There is no work to plan or to roster."""

    code = "roster.nothing_planned"


class RosterUnknown(PlannerError):
    """A roster that is not there, or is no longer the one to publish."""

    code = "roster.unknown"


class RosterBlocked(PlannerError):
    """A roster whose findings block it."""

    code = "roster.blocked"


class LocksContradict(PlannerError):
    """Fixed places that contradict a rule or each other, or are not there to be fixed."""

    code = "roster.locks_contradict"


class SearchRefused(PlannerError):
    """A search that cannot be begun as asked, or an answer that cannot be taken any more."""

    code = "search.refused"


class AnswerRefused(PlannerError):
    """An answer document that is for another session or season, or names what is gone."""

    code = "document.answer_refused"


class RuleSetUnknown(PlannerError):
    """A rule set version or an adoption that is not there."""

    code = "rule_set.unknown"


class RuleSetRefused(PlannerError):
    """A change to the rule book that cannot be made as asked."""

    code = "rule_set.refused"


class WaiverRefused(PlannerError):
    """A finding that may not be waived, or not by this person."""

    code = "waiver.refused"


class ConsentFormUnfit(PlannerError):
    """A consent form that lacks a part, or has words nobody would read."""

    code = "consent.form_unfit"


class PersonRefused(PlannerError):
    """What was said of a person cannot be kept, or is not for this account to say."""

    code = "people.refused"


class ClassRefused(PlannerError):
    """Something about a school class that cannot be as asked."""

    code = "class.refused"
