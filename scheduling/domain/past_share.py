"""What somebody has had so far this season, and how far that leans the next roster.

A roster that is fair by itself gives the same people the heavy work every week.
Here the rosters of earlier sessions become a few counts (`PastShare`), and those a
few points beside what somebody likes (`lean_by_season`): a person's own counts
against an even share, nothing else. Computed when a day is loaded and kept
nowhere. Not for adding counts up (`past_rounds`), nor for words (`season_words`).

Source of the idea: counters carried from week to week as part of the problem, as in
the second nurse rostering competition (Ceschia and others, "The second international
nurse rostering competition", Annals of Operations Research, 2019). The figures here
are ours.
"""

from dataclasses import dataclass

SOME, MANY = 1, 3
"""Rounds above an even share that count one point and two: invented defaults. Five people alike on
the same day sixteen times had 12 or 13 heavy rounds each with these, 8 to 14 with two and four, and
0 to 16 without a season (`test_fair_season` has half as many sessions)."""

MOST_POINTS = 2
"""The most points that the season leans anybody to or from a task in a round: invented default, as
much as the strongest liking, so that it never outweighs two wishes said for the day."""


@dataclass(frozen=True, slots=True)
class PastShare:
    """One person's counts over the season's earlier sessions, in rounds.

    `idle` are rounds without a task on days on which the person had one. `liked`
    and `disliked` count by what the person says today, `learned` at work that asks
    for a skill they wish for. The `even_` counts are what the person would have had
    if all had carried the same, in whole rounds. `again` names the kinds of work
    they had far more often than others.
    """

    sessions: int = 0
    rounds: int = 0
    idle: int = 0
    heavy: int = 0
    liked: int = 0
    disliked: int = 0
    learned: int = 0
    even_idle: int = 0
    even_heavy: int = 0
    even_disliked: int = 0
    even_liked: int = 0
    again: tuple[str, ...] = ()

    @property
    def heavy_points(self) -> int:
        """How much less heavy work is due: 0, 1 or 2."""
        return _points_above(self.heavy, self.even_heavy)

    @property
    def disliked_points(self) -> int:
        """How much less disliked work is due."""
        return _points_above(self.disliked, self.even_disliked)

    @property
    def idle_points(self) -> int:
        """How much more work is due to somebody who stood idle."""
        return _points_above(self.idle, self.even_idle)

    @property
    def unmet_points(self) -> int:
        """How much sooner somebody's turn comes who had less of what they like, or never any."""
        never = 0 if self.liked else min(MOST_POINTS, self.sessions)
        return max(never, _points_above(self.even_liked, self.liked))

    @property
    def unlearned_points(self) -> int:
        """How much sooner somebody's turn comes who never had work that teaches their wish."""
        return 0 if self.learned else min(MOST_POINTS, self.sessions)


def tell_due(
    past: PastShare, *, likes: bool, wishes: bool, likes_heavy: bool = False
) -> tuple[str, ...]:
    """Return what the season leans somebody to, as words for the coordinator.

    Args:
        past: What they have had.
        likes: Whether they said of any kind of work that they like it.
        wishes: Whether they wish to learn a skill.
        likes_heavy: Whether they would rather work heavily: then it is no burden.
    """
    return tuple(
        words
        for words, is_due in (
            ("lighter work", past.heavy_points > 0 and not likes_heavy),
            ("less of what they dislike", past.disliked_points > 0),
            ("work they like", likes and past.unmet_points > 0),
            ("work that teaches their wish", wishes and past.unlearned_points > 0),
            ("fewer rounds without a task", past.idle_points > 0),
            *((f"something other than {kind}", True) for kind in past.again),
        )
        if is_due
    )


def _points_above(had: int, even: int) -> int:
    above = had - even
    return (above >= SOME) + (above >= MANY)


def lean_by_season(
    past: PastShare | None, *, kind: str, heavy: bool, liking: int, teaches: bool
) -> int:
    """Return the points by which the season leans a person to a task, or from it.

    Args:
        past: What the person has had; None when nobody looked, which leans nowhere.
        kind: Of the task.
        heavy: Whether it is heavy work.
        liking: What the person says of the kind, liked above 0.
        teaches: Whether it asks for a skill the person wishes and does not hold.

    Returns:
        Points as of a liking, at most `MOST_POINTS` either way; 0 without any past.
    """
    if past is None or not past.sessions:
        return 0
    points = past.idle_points
    if heavy and liking <= 0:  # what somebody likes is no burden
        points -= past.heavy_points
    if liking < 0:
        points -= past.disliked_points
    if liking <= 0 and kind in past.again:
        points -= 1
    points += max(past.unmet_points if liking > 0 else 0, past.unlearned_points if teaches else 0)
    return max(-MOST_POINTS, min(MOST_POINTS, points))
