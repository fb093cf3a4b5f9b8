"""Those who ask are told of others by number alone."""

from dataclasses import replace

from scheduling.domain.admission import check_admission
from scheduling.domain.names_hidden import hide_names
from scheduling.domain.people import PersonId
from tests.scheduling.domain.rule_days import CLASS_5A, adult, child, day, pupil


def test_only_those_who_ask_keep_their_names():
    problem = day([adult(1, name="Anneke T."), child(2, 12, name="Ben"), child(3, 13, name="Ela")])

    hidden = hide_names(problem, (PersonId(3),))

    assert [person.name for person in hidden.people] == ["volunteer 1", "young person 2", "Ela"]
    assert hidden == replace(problem, people=hidden.people, groups=hidden.groups)


def test_another_schools_class_is_not_named():
    problem = day([pupil(1, 10), adult(2, staff_of=CLASS_5A.id)])

    assert [group.name for group in hide_names(problem).groups] == ["class 1"]
    assert hide_names(problem, (PersonId(2),)).groups == problem.groups


def test_the_answer_is_the_same_but_for_the_names():
    problem = day([adult(1, name="Anneke T."), child(2, 12, name="Ben")])
    hidden = hide_names(problem, (PersonId(2),))

    told, known = (check_admission(one, (PersonId(2),)) for one in (hidden, problem))

    assert told.allowed == known.allowed
    assert [f.rule for f in told.findings] == [f.rule for f in known.findings]
    assert "Anneke" not in " ".join(f.text + f.remedy for f in told.findings)
    assert "Ben" in " ".join(f.text for f in told.findings)
