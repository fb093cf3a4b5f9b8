"""Reads a liaison's classes: pupils by age, staff, and where the class is signed up."""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.class_visit import ClassNumbers
from scheduling.domain.people import ADULT_AGE, age_on
from scheduling.models import SchoolGroup, SignUp
from scheduling.queries.background_checks import is_checked
from scheduling.queries.class_checks import load_numbers
from scheduling.queries.rule_sets import load_policy


@dataclass(frozen=True, slots=True)
class StaffMember:
    """An adult who comes with a class, and whether their background check holds on a day."""

    name: str
    checked: bool
    adult: bool


@dataclass(frozen=True, slots=True)
class ClassPage:
    """One class as its liaison sees it. `signed_up` holds ids of sessions."""

    id: int
    code: str
    name: str
    school: str
    pupils_by_age: tuple[tuple[int, int], ...]
    staff: tuple[StaffMember, ...]
    needs: str
    numbers: ClassNumbers
    signed_up: tuple[int, ...]

    @property
    def pupils(self) -> int:
        """Number of pupils."""
        return sum(count for _, count in self.pupils_by_age)

    @property
    def checked_staff(self) -> int:
        """Number of staff whose background check holds."""
        return sum(1 for member in self.staff if member.checked)


def load_group_names(site_id: int) -> tuple[tuple[int, str], ...]:
    """Return the number and name of every class of the site, in order of code."""
    return tuple(
        (row.pk, str(row)) for row in SchoolGroup.objects.filter(site_id=site_id).order_by("code")
    )


@dataclass(frozen=True, slots=True)
class ClassFile:
    """One class of a site as its coordinator sees it. `staff` are codes and names."""

    id: int
    code: str
    name: str
    school: str
    liaison: str
    pupils: int
    staff: tuple[tuple[str, str], ...]


def load_class_files(site_id: int) -> tuple[ClassFile, ...]:
    """Return every class of a site, in order of code."""
    rows = SchoolGroup.objects.filter(site_id=site_id).select_related("liaison")
    return tuple(
        ClassFile(
            id=row.pk,
            code=row.code,
            name=row.name,
            school=row.school,
            liaison=row.liaison.email,
            pupils=sum(int(count) for count in row.pupils_by_age.values()),
            staff=tuple(sorted((member.code, str(member)) for member in row.staff.all())),
        )
        for row in rows.prefetch_related("staff").order_by("code")
    )


def load_staff_names(group_id: int) -> tuple[tuple[int, str], ...]:
    """Return the staff on file of a class by name, with their ids."""
    staff = SchoolGroup.objects.get(pk=group_id).staff.order_by("first_name", "pk")
    return tuple((member.pk, str(member)) for member in staff)


def load_classes(*, user_id: int, site_id: int, on: date) -> tuple[ClassPage, ...]:
    """Return the classes an account brings to the site, in order of code."""
    rows = SchoolGroup.objects.filter(liaison_id=user_id, site_id=site_id).order_by("code")
    return tuple(_page(row, on) for row in rows)


def find_class(*, user_id: int, site_id: int, code: str, on: date) -> ClassPage | None:
    """Return one of the account's own classes on the site, or None."""
    row = SchoolGroup.objects.filter(liaison_id=user_id, site_id=site_id, code=code).first()
    return _page(row, on) if row else None


def _page(row: SchoolGroup, on: date) -> ClassPage:
    policy = load_policy(row.site_id, on=on, groups=(row.pk,))
    return ClassPage(
        id=row.pk,
        code=row.code,
        name=row.name,
        school=row.school,
        pupils_by_age=tuple(
            sorted((int(age), int(count)) for age, count in row.pupils_by_age.items())
        ),
        staff=tuple(
            StaffMember(
                name=str(member),
                checked=is_checked(member, policy, on),
                adult=age_on(member.birth_year, member.birth_month, on) >= ADULT_AGE,
            )
            for member in row.staff.prefetch_related("checks").order_by("first_name", "pk")
        ),
        needs=row.needs,
        numbers=load_numbers(row.pk, on=on),
        signed_up=tuple(
            SignUp.objects.filter(group=row, state=SignUp.State.CONFIRMED)
            .order_by("session__starts_at")
            .values_list("session_id", flat=True)
        ),
    )
