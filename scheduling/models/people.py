"""People, and what is on file about them.

Only month and year of birth are kept, no address, no diagnosis, no certificate:
what is not stored cannot leak.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from scheduling.domain.people import LONGEST_NAME


class Person(models.Model):
    """Someone who comes, or a young person a guardian brings.

    A young person has a guardian here and no account. `restrictions` holds
    values of `scheduling.domain.people.Restriction`; `preferences` maps task
    kinds to -2 … 2; `experience` is 0 new, 1 came before, 2 old hand.
    `wished_skills` are skills they would like to learn; `heavy_liking` is 1 for
    rather heavy work, -1 for rather light. Erased, a row keeps its
    code and its place in totals and nothing else.
    """

    site = models.ForeignKey("orchard.Site", on_delete=models.CASCADE, related_name="people")
    code = models.CharField(max_length=20)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="person",
    )
    first_name = models.CharField(max_length=LONGEST_NAME)
    family_name = models.CharField(max_length=LONGEST_NAME, blank=True)
    birth_year = models.PositiveSmallIntegerField()
    birth_month = models.PositiveSmallIntegerField()
    guardian = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="charges"
    )
    restrictions = models.JSONField(default=list, blank=True)
    preferences = models.JSONField(default=dict, blank=True)
    experience = models.PositiveSmallIntegerField(default=0)
    active = models.BooleanField(default=True)
    wished_skills = models.JSONField(default=list, blank=True)
    heavy_liking = models.SmallIntegerField(default=0)
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["site", "code"], name="person_code_once_per_site"),
            models.CheckConstraint(
                condition=models.Q(birth_month__gte=1, birth_month__lte=12),
                name="person_birth_month_1_to_12",
            ),
            models.CheckConstraint(
                condition=models.Q(guardian__isnull=True) | ~models.Q(guardian=models.F("id")),
                name="person_not_their_own_guardian",
            ),
            models.CheckConstraint(
                condition=models.Q(heavy_liking__gte=-1, heavy_liking__lte=1),
                name="person_likes_heavy_work_light_or_either",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_name} {self.family_name}".strip()


class CompanyWish(models.Model):
    """Somebody would be in a crew with another; it counts where the other wishes it too."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="company_wishes")
    other = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="wished_by")

    class Meta:
        ordering: ClassVar = ["person", "other"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["person", "other"], name="company_wished_once"),
            models.CheckConstraint(
                condition=~models.Q(person=models.F("other")), name="company_is_somebody_else"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} with {self.other}"


class SkillRecord(models.Model):
    """A skill somebody signed off, and the last day on which it holds."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="skills")
    skill = models.CharField(max_length=40)
    signed_off_by = models.CharField(max_length=120)
    last_day = models.DateField()

    class Meta:
        ordering: ClassVar = ["skill", "last_day"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "skill", "last_day"], name="skill_recorded_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.skill} until {self.last_day}"


class SaidSkill(models.Model):
    """That somebody says they can do something: their own word, which satisfies no rule."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="said_skills")
    skill = models.CharField(max_length=40)
    said_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["skill", "person"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["person", "skill"], name="skill_said_once"),
        ]

    def __str__(self) -> str:
        return f"{self.person} says: {self.skill}"


class CheckRecord(models.Model):
    """A background check that somebody saw: scheme and dates, never the certificate.

    `declared_on` is the last declaration since, `trained_on` the last safeguarding
    training; some rule sets ask for them.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="checks")
    scheme = models.CharField(max_length=80)
    issued_on = models.DateField()
    last_day = models.DateField()
    seen_by = models.CharField(max_length=120)
    declared_on = models.DateField(null=True, blank=True)
    trained_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["last_day"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "scheme", "issued_on"], name="check_recorded_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.scheme} until {self.last_day}"


class ConsentRecord(models.Model):
    """A guardian's signature for a young person: which form, which work, how long.

    Photographs are apart and off unless ticked. A form signed on paper names who
    saw it.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="consents")
    version = models.CharField(max_length=20)
    signed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="consents_signed")
    first_day = models.DateField()
    last_day = models.DateField()
    kinds = models.JSONField(default=list, blank=True)
    photographs = models.BooleanField(default=False)
    on_paper_seen_by = models.CharField(max_length=120, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["last_day"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "version", "first_day"], name="consent_recorded_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}: form {self.version} until {self.last_day}"
