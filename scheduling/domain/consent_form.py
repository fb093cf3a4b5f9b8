"""The consent form in plain words: the parts a form must have, and usual words for each.

A guardian reads and signs one version; a changed word is a new version. Common
practice, no source (forms of outdoor education advisers and school boards); a
site has its own form read by somebody who knows its law.
"""

from dataclasses import dataclass

from scheduling.domain.errors import ConsentFormUnfit

LONGEST_PART = 2000  # characters; invented: longer is not read


@dataclass(frozen=True, slots=True)
class FormPart:
    """One part of a consent form: its fixed key, heading and words."""

    key: str
    heading: str
    words: str


USUAL_PARTS = (
    FormPart(
        "when",
        "When it holds",
        "From the day it is signed until the last day written on it, a year at most, for the "
        "sessions you sign the young person up for. You can withdraw it at any time on this page "
        "or by telling the coordinator; it then ends at once.",
    ),
    FormPart(
        "work",
        "Tasks and tools",
        "Weeding, carrying and spreading compost and wood chips, watering, measuring trees and "
        "helping to fill core holes, with hand tools. Each task has an age from which it is "
        "given. Nobody under 18 works with a powered auger.",
    ),
    FormPart(
        "risks",
        "What can go wrong",
        "Blisters, scratches, stings, a trip over a tool or a hole, a strained back, too much sun "
        "or cold, soil on the hands. The ground was built on: gloves are worn and hands are "
        "washed before eating. Tetanus protection is a matter between you and your doctor.",
    ),
    FormPart(
        "supervision",
        "Who looks after them",
        "Adults whose background check is in date supervise the young people in the numbers the "
        "rule book asks for; nobody is alone with one. Children under the age the site sets come "
        "with you. You say who collects them; nobody leaves alone unless you wrote that down.",
    ),
    FormPart(
        "travel",
        "On the way",
        "You bring and collect them. The orchard carries nobody.",
    ),
    FormPart(
        "first_aid",
        "First aid",
        "A first aider is there. In an emergency an ambulance is called first, then the contact "
        "you give. Write what a first aider must know today on the young person's page; only the "
        "session lead and the first aiders of the day see it, and it is deleted soon after.",
    ),
    FormPart(
        "photographs",
        "Photographs",
        "None of the young person, unless you tick the box for it. It is a choice of its own and "
        "changes nothing else.",
    ),
    FormPart(
        "data",
        "What is kept",
        "First name, month and year of birth, the contact for the day, what they were signed up "
        "for, and this form. You can see, correct and delete it at any time.",
    ),
)


def name_changes(old: tuple[FormPart, ...], new: tuple[FormPart, ...]) -> tuple[str, ...]:
    """Return the headings of what the new parts say otherwise than the old, in their order."""
    words = {part.key: part.words for part in old}
    return tuple(part.heading for part in new if words.get(part.key) != part.words)


def check_parts(parts: tuple[FormPart, ...]) -> None:
    """Raise unless a form has every part with words that can be read.

    Raises:
        ConsentFormUnfit: If a part is missing, empty, too long, or not one a form has.
    """
    known = {part.key: part.heading for part in USUAL_PARTS}
    given = {part.key: part for part in parts}
    for key in sorted(given.keys() - known.keys()):
        raise ConsentFormUnfit(f"A consent form has no part “{key}”. Leave it out.")
    for key, heading in known.items():
        part = given.get(key)
        if part is None or not part.words.strip():
            raise ConsentFormUnfit(
                f"The part “{heading}” has no words. Write what a guardian is told about it."
            )
        if len(part.words) > LONGEST_PART:
            raise ConsentFormUnfit(
                f"The part “{heading}” has {len(part.words)} characters, more than "
                f"{LONGEST_PART}. Say it in fewer words."
            )
