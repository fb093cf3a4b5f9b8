"""What an import puts on file about people: skills, background checks, consents.

Part of `import_season`. Records are added and corrected, never removed, so that
a renewal entered on the site survives the next import.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

from orchard.services.import_rows import NounCount, save_rows
from scheduling.models import CheckRecord, ConsentRecord, Person, SkillRecord
from scheduling.services.people_files import CheckFile, ConsentFile, SkillFile

SkillKey = tuple[int, str, date]


def write_skills(skills: tuple[SkillFile, ...], people: Mapping[str, Person]) -> NounCount:
    """Add missing skills; where only the last day was edited, change the old record."""
    existing: dict[SkillKey, SkillRecord] = {
        (row.person_id, row.skill, row.last_day): row
        for row in SkillRecord.objects.filter(person__in=people.values())
    }
    wanted: dict[SkillKey, dict[str, Any]] = {
        (people[skill.person].pk, skill.skill, skill.last_day): {
            "signed_off_by": skill.signed_off_by,
            "last_day": skill.last_day,
        }
        for skill in skills
    }
    by_hand = set(existing) - set(wanted)
    for person_id, skill, last_day in sorted(set(wanted) - set(existing)):
        signer = wanted[person_id, skill, last_day]["signed_off_by"]
        edited = [
            key
            for key in sorted(by_hand)
            if key[:2] == (person_id, skill) and existing[key].signed_off_by == signer
        ]
        if len(edited) == 1:
            existing[person_id, skill, last_day] = existing[edited[0]]
            by_hand.discard(edited[0])
    _, count = save_rows(
        "skills",
        lambda key: SkillRecord(person_id=key[0], skill=key[1]),
        existing,
        wanted,
        remove=False,
    )
    return count


def write_checks(checks: tuple[CheckFile, ...], people: Mapping[str, Person]) -> NounCount:
    """Add and correct background checks."""
    rows = CheckRecord.objects.filter(person__in=people.values())
    _, count = save_rows(
        "background checks",
        lambda key: CheckRecord(person_id=key[0], scheme=key[1], issued_on=key[2]),
        {(row.person_id, row.scheme, row.issued_on): row for row in rows},
        {
            (people[check.person].pk, check.scheme, check.issued_on): {
                "last_day": check.last_day,
                "seen_by": check.seen_by,
            }
            for check in checks
        },
        remove=False,
    )
    return count


def write_consents(consents: tuple[ConsentFile, ...], people: Mapping[str, Person]) -> NounCount:
    """Add and correct consents; whether one was withdrawn is left as it is."""
    rows = ConsentRecord.objects.filter(person__in=people.values())
    _, count = save_rows(
        "consents",
        lambda key: ConsentRecord(person_id=key[0], version=key[1], first_day=key[2]),
        {(row.person_id, row.version, row.first_day): row for row in rows},
        {
            (people[consent.person].pk, consent.version, consent.first_day): {
                "signed_by_id": people[consent.signed_by].pk,
                "last_day": consent.last_day,
                "kinds": list(consent.kinds),
            }
            for consent in consents
        },
        remove=False,
    )
    return count
