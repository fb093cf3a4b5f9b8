"""What people wish to learn, as a liking for the work that teaches it.

Whoever wishes a skill they do not hold is glad of tasks that ask for it, where a
crew has somebody who holds it. A wish weighs less than a liking said outright,
and never opens what a rule refuses.
"""

from dataclasses import replace

from scheduling.domain.problem import CrewTask, Person

MOST_LIKED = 2
WISH = 1


def like_what_teaches(
    person: Person, wished: tuple[str, ...], tasks: tuple[CrewTask, ...]
) -> Person:
    """Return the person with a liking for each kind of work that asks for a skill they wish.

    Args:
        person: As on file.
        wished: Skills they would learn.
        tasks: The work of the session.
    """
    held = {skill.skill for skill in person.skills}
    wanted = set(wished) - held
    teaching = {t.kind for t in tasks if wanted & {need.skill for need in t.skills}}
    if not teaching:
        return person
    liked = dict(person.preferences)
    for kind in teaching:
        liked[kind] = min(MOST_LIKED, liked.get(kind, 0) + WISH)
    return replace(person, preferences=tuple(sorted(liked.items())))
