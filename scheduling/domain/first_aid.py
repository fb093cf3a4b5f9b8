"""How many first aiders a number of people asks for, and who is there to be one.

Shared by the rule, sign-up and the liaison's check. Not first-aid advice.
"""

from scheduling.domain.problem import Person, RosterProblem


def first_aiders_here(problem: RosterProblem, round_: int) -> tuple[Person, ...]:
    """Return the people there in a round whose first aid is in date on the day."""
    return tuple(
        person
        for person in problem.people
        if person.present[round_] and person.holds(problem.first_aid_skill, problem.on)
    )


def first_aiders_needed(problem: RosterProblem, people: int) -> int:
    """Return the first aiders that a number of people asks for.

    Args:
        problem: Its policy says how many people one first aider is for.
        people: Everyone there, of any age; 0 or more.

    Returns:
        One for each full or part share; 0 when nobody is there.

    Source:
        One for each 25 or part as shipped: proposed, stricter than one for
        each 50 or part in the HSE first-aid table for higher hazard.
    """
    return -(-people // problem.policy.people_per_first_aider)


def first_aiders_short(problem: RosterProblem, people: int, here: int) -> int:
    """Return how many first aiders must still come, who are people there themselves.

    Args:
        problem: Its policy says how many people one first aider is for.
        people: Everyone there, first aiders included.
        here: First aiders among them.

    Returns:
        The smallest number that is enough, 0 when enough are there. A share of
        one person each would never end, so it asks for as many as are short.
    """
    short = 0
    while problem.policy.people_per_first_aider > 1 and (
        first_aiders_needed(problem, people + short) > here + short
    ):
        short += 1
    return short or max(0, first_aiders_needed(problem, people) - here)
