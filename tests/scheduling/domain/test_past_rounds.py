"""What people carried in earlier sessions, added up: worked by hand; the figures are ours."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.past_rounds import (
    PastPerson,
    PastPlace,
    PastWork,
    add_up_past,
    find_company,
    find_experience,
)
from scheduling.domain.past_share import PastShare

CORE, WEED, MULCH = 1, 2, 3
WORK = {
    CORE: PastWork("core", heavy=True, skills=("auger",)),
    WEED: PastWork("weed"),
    MULCH: PastWork("mulch", heavy=True),
}


def rows(text):
    """Read “1 2: c c w -” as session 1, person 2, four rounds."""
    tasks = {"c": CORE, "w": WEED, "m": MULCH}
    for line in text.split("\n"):
        if ":" in line:
            who, what = line.split(":")
            session, person = (int(n) for n in who.split())
            for round_, letter in enumerate(what.split()):
                if letter != "-":
                    yield PastPlace(session, round_, person, tasks[letter])


def test_two_sessions_added_up_by_hand():
    """Ana 5 heavy of 8 rounds, Ben 1 of 6 with two idle: 6 heavy in 14, so 3.4 and 2.6 even."""
    places = rows(
        """
        1 1: c c w c
        1 2: w w - w
        2 1: m w m w
        2 2: w - c w
        """
    )
    people = [
        PastPerson(1, preferences=(("mulch", -1), ("weed", 2))),
        PastPerson(2, wished_skills=("auger",)),
    ]

    shares = add_up_past(places, {1: 4, 2: 4}, WORK, people)

    assert shares == {
        1: PastShare(2, 8, 0, 5, 3, 2, 0, even_idle=1, even_heavy=3, even_disliked=2, even_liked=3),
        2: PastShare(2, 6, 2, 1, 0, 0, 1, even_idle=1, even_heavy=3),
    }


def test_an_even_share_of_heavy_work_is_measured_by_those_who_may_lift():
    places = list(rows("1 1: c c w w\n1 2: w w w w\n1 3: w w w w"))
    everybody = [PastPerson(n) for n in (1, 2, 3)]
    two_who_lift = [*everybody[:2], replace(everybody[2], may_lift=False)]
    with_a_child = [*everybody[:2], replace(everybody[2], is_grown=False)]

    even = [
        add_up_past(places, {1: 4}, WORK, people)[1].even_heavy
        for people in (everybody, two_who_lift, with_a_child)
    ]

    assert even == [1, 1, 1]  # two of twelve rounds: 0.67 of four; of eight: 1
    longer = [replace(p, session=s) for p in places for s in (1, 2, 3)]
    rounds = dict.fromkeys((1, 2, 3), 4)
    even = [
        add_up_past(longer, rounds, WORK, people)[1].even_heavy
        for people in (everybody, two_who_lift, with_a_child)
    ]
    assert even == [2, 3, 3]


def test_the_same_again_is_more_than_half_and_far_above_others():
    always = "\n".join(f"{s} 1: w w w c\n{s} 2: w c c c\n{s} 3: c c c c" for s in (1, 2, 3))

    rounds = dict.fromkeys((1, 2, 3), 4)
    people = [PastPerson(n) for n in (1, 2, 3)]

    shares = add_up_past(rows(always), rounds, WORK, people)

    assert [shares[n].again for n in (1, 2, 3)] == [("weed",), (), ("core",)]
    people[0] = replace(people[0], preferences=(("weed", 1),))
    assert add_up_past(rows(always), rounds, WORK, people)[1].again == ()  # liked: no burden


def test_who_would_rather_work_lightly_dislikes_what_is_heavy_and_the_other_way_round():
    gladly = PastPerson(1, heavy_liking=1, preferences=(("mulch", -1),))
    lightly = PastPerson(2, heavy_liking=-1)

    shares = add_up_past(rows("1 1: c m w w\n1 2: c m w w"), {1: 4}, WORK, [gladly, lightly])

    assert (shares[1].liked, shares[1].disliked) == (1, 0)
    assert (shares[2].liked, shares[2].disliked) == (0, 2)
    assert (shares[1].even_disliked, shares[2].even_disliked) == (1, 1)  # two in eight rounds


def test_places_of_people_or_work_that_are_gone_are_left_out():
    places = [PastPlace(1, 0, 1, WEED), PastPlace(1, 1, 1, 99), PastPlace(1, 0, 7, WEED)]

    shares = add_up_past(places, {1: 2}, WORK, [PastPerson(1)])

    assert shares == {1: PastShare(sessions=1, rounds=1, idle=1, even_idle=1)}


SLOWLY = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # busy machines
PLACES = st.lists(
    st.builds(
        PastPlace, st.integers(1, 3), st.integers(0, 3), st.integers(1, 4),
        st.sampled_from([CORE, WEED, MULCH]),
    ),
    unique_by=lambda p: (p.session, p.round, p.person),
)  # fmt: skip
FOLK = st.tuples(st.booleans(), st.booleans(), st.integers(-2, 2))


@SLOWLY
@given(places=PLACES, folk=st.tuples(FOLK, FOLK, FOLK, FOLK))
def test_shares_add_up_to_what_was_done(places, folk):
    people = [
        PastPerson(n, grown, lifts, (("weed", liking),))
        for n, (grown, lifts, liking) in enumerate(folk, start=1)
    ]

    shares = add_up_past(places, {1: 4, 2: 4, 3: 4}, WORK, people)

    assert sum(share.rounds for share in shares.values()) == len(places)
    assert sum(s.heavy for s in shares.values()) == sum(p.task != WEED for p in places)
    for person, share in shares.items():
        assert share.rounds + share.idle == 4 * share.sessions
        assert share.liked * share.disliked == 0  # one kind alone has a liking
        assert share.sessions == len({p.session for p in places if p.person == person})
    lifting = [shares[p.id] for p in people if p.is_grown and p.may_lift and p.id in shares]
    # Each even share is rounded by itself, so the sum may be off by half a round each.
    off = sum(s.even_heavy - s.heavy for s in lifting)
    assert abs(off) <= len(lifting) / 2
    if len(lifting) == 1:
        assert lifting[0].heavy_points == 0  # nobody is measured against oneself


@SLOWLY
@given(places=PLACES)
def test_the_order_of_places_does_not_matter(places):
    people = [PastPerson(n) for n in (1, 2, 3, 4)]
    rounds = {1: 4, 2: 4, 3: 4}

    assert add_up_past(places, rounds, WORK, people) == add_up_past(
        places[::-1], rounds, WORK, people[::-1]
    )


@pytest.mark.parametrize(
    ("kept", "sessions", "grown", "company", "experience"),
    [
        (0, 0, True, False, 0),
        (0, 0, True, True, 0),
        (0, 1, True, False, 0),  # came, and no old hand was ever beside them: still new
        (0, 1, True, True, 1),
        (0, 2, True, False, 0),
        (0, 3, True, False, 1),
        (0, 5, True, True, 1),
        (0, 6, True, False, 2),
        (0, 6, False, False, 1),  # a young person is nobody's old hand by coming
        (1, 0, True, False, 1),
        (2, 0, True, False, 2),  # what is on file is never lowered
        (1, 9, True, False, 2),
    ],
)
def test_how_used_to_the_work_somebody_is(kept, sessions, grown, company, experience):
    found = find_experience(kept=kept, sessions=sessions, is_grown=grown, knows_an_old_hand=company)

    assert found == experience


def test_company_is_a_crew_with_another_old_hand():
    places = [*rows("1 1: c w\n1 2: c c\n1 3: w c"), PastPlace(2, 0, 3, CORE)]

    assert find_company(places, frozenset({1})) == {2}
    assert find_company(places, frozenset({2})) == {1, 3}
    assert find_company(places, frozenset({1, 2})) == {1, 2, 3}
    assert find_company(places, frozenset()) == frozenset()
