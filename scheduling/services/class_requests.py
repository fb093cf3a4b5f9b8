"""Keeps what schools ask: when they could come, and what the coordinator answered.

A request books nothing. An offered session is booked by the liaison through the
ordinary check (`class_bookings`). Each step is told by mail.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.urls import reverse

from scheduling.domain.errors import ClassRefused
from scheduling.domain.wording import listed, plural, stop, weekday_words
from scheduling.models import ClassRequest, Message, SchoolGroup, Session
from scheduling.queries.class_counts import Ages
from scheduling.queries.session_rows import day_of
from scheduling.services.addresses import build_address
from scheduling.services.outbox import Letter, put_letter

CLOSED_STATES = (Session.State.DONE, Session.State.CALLED_OFF)


@dataclass(frozen=True, slots=True)
class RequestSaid:
    """What a liaison asks. `group_id` is None for a class that is not on file yet."""

    group_id: int | None
    name: str
    school: str
    pupils_by_age: Ages
    staff: int
    helpers: int
    weekdays: tuple[int, ...]
    session_ids: tuple[int, ...]
    wished_kinds: tuple[str, ...]
    access_needs: str


def ask_to_come(*, user_id: int, site_id: int, said: RequestSaid, at: datetime) -> int:
    """Keep a school's request and tell the organiser; return its number.

    Raises:
        ClassRefused: If the class is not the account's own, no day is named, or the
            class has asked already and has no answer yet.
    """
    group = _find_own(user_id, site_id, said.group_id)
    name, school = (group.name, group.school) if group else (said.name, said.school)
    name, school = " ".join(name.split())[:80], " ".join(school.split())[:120]
    if not name or not school:
        raise ClassRefused("Say which class comes, and of which school.")
    if not said.weekdays and not said.session_ids:
        raise ClassRefused("Tick a session, or a day of the week on which the class could come.")
    try:
        with transaction.atomic():
            row = ClassRequest.objects.create(
                site_id=site_id,
                liaison_id=user_id,
                group=group,
                name=name,
                school=school,
                pupils_by_age={str(age): count for age, count in said.pupils_by_age if count},
                staff=said.staff,
                helpers=said.helpers,
                weekdays=sorted(set(said.weekdays)),
                wished_kinds=list(said.wished_kinds),
                access_needs=" ".join(said.access_needs.split())[:300],
                asked_at=at,
            )
            row.sessions.set(
                Session.objects.filter(season__site_id=site_id, pk__in=said.session_ids)
            )
            _tell_organiser(row, "asks to come", at)
    except IntegrityError as twice:
        raise ClassRefused(
            f"{name} has asked already and waits for an answer. Take that request back to ask anew."
        ) from twice
    return row.pk


def _find_own(user_id: int, site_id: int, group_id: int | None) -> SchoolGroup | None:
    if group_id is None:
        return None
    group = SchoolGroup.objects.filter(pk=group_id, site_id=site_id, liaison_id=user_id).first()
    if group is None:
        raise ClassRefused("That class is not yours to bring. Choose one of your own.")
    return group


def take_back_request(*, user_id: int, site_id: int, request_id: int, at: datetime) -> None:
    """Take one's own request back, asked or offered; twice is once.

    Raises:
        ClassRequest.DoesNotExist: If it is not the account's own.
    """
    with transaction.atomic():
        row = _lock(request_id, site_id=site_id, liaison_id=user_id)
        if row.state not in (ClassRequest.State.ASKED, ClassRequest.State.OFFERED):
            return
        row.state, row.offered, row.answered_at = ClassRequest.State.WITHDRAWN, None, None
        row.save(update_fields=["state", "offered", "answered_at"])
        _tell_organiser(row, "takes its request back", at)


def offer_session(
    *, request_id: int, site_id: int, session_id: int, words: str, by: str, at: datetime
) -> None:
    """Offer a session to a school that asked; a class that was not on file is put there.

    Raises:
        ClassRequest.DoesNotExist: If the site has no such request.
        ClassRefused: If it was answered or taken back, or the session takes nobody any more.
    """
    with transaction.atomic():
        row = _lock(request_id, site_id=site_id)
        _refuse_answered(row)
        session = Session.objects.select_related("season__site").get(
            pk=session_id, season__site_id=site_id
        )
        if session.starts_at <= at or session.state in CLOSED_STATES:
            raise ClassRefused(f"{session.title} takes nobody any more. Choose a later session.")
        if row.group is None:
            row.group = _put_on_file(row)
        row.offered, row.state = session, ClassRequest.State.OFFERED
        _answer(row, words, by, at)
        text = (
            f"{session.title} on {weekday_words(day_of(session))} is offered to {row.name}. It is "
            "not booked yet: sign the class up on the page “My classes”, where the rules are "
            f"checked.{_said(words)}"
        )
        _tell_liaison(row, f"A session for {row.name}", text, at)


def decline_request(*, request_id: int, site_id: int, words: str, by: str, at: datetime) -> None:
    """Decline a school's request with a sentence.

    Raises:
        ClassRequest.DoesNotExist: If the site has no such request.
        ClassRefused: If no sentence is given, or it was answered or taken back.
    """
    if not words.strip():
        raise ClassRefused("Write a sentence on why, or on when to ask again.")
    with transaction.atomic():
        row = _lock(request_id, site_id=site_id)
        _refuse_answered(row)
        row.state = ClassRequest.State.DECLINED
        _answer(row, words, by, at)
        text = f"{row.name} cannot come on the days asked for.{_said(words)}"
        _tell_liaison(row, f"Declined: {row.name}", text, at)


def _lock(request_id: int, **where: int) -> ClassRequest:
    rows = ClassRequest.objects.select_for_update(of=("self",)).select_related(
        "site", "liaison", "group"
    )
    return rows.get(pk=request_id, **where)


def _refuse_answered(row: ClassRequest) -> None:
    if row.state != ClassRequest.State.ASKED:
        raise ClassRefused(
            f"The request of {row.name} is {row.get_state_display()} already. Reload the page."
        )


def _answer(row: ClassRequest, words: str, by: str, at: datetime) -> None:
    row.answer = " ".join(words.split())[:300]
    row.answered_by, row.answered_at = by[:120], at
    row.save()


def _put_on_file(row: ClassRequest) -> SchoolGroup:
    """Put a class on file with the numbers asked for; its staff are added by the coordinator."""
    taken = set(SchoolGroup.objects.filter(site_id=row.site_id).values_list("code", flat=True))
    number = next(n for n in range(1, len(taken) + 2) if f"CLASS-{n}" not in taken)
    return SchoolGroup.objects.create(
        site_id=row.site_id,
        code=f"CLASS-{number}",
        name=row.name,
        school=row.school,
        liaison_id=row.liaison_id,
        pupils_by_age=row.pupils_by_age,
        helpers=row.helpers,
        needs=row.access_needs,
        wished_kinds=row.wished_kinds,
    )


def _said(words: str) -> str:
    clean = " ".join(words.split())
    return f"\n\nFrom the coordinator: {stop(clean)}" if clean else ""


def _tell_organiser(row: ClassRequest, what: str, at: datetime) -> None:
    site = row.site
    pupils = sum(int(count) for count in row.pupils_by_age.values())
    page = build_address(reverse("class_request_list", args=[site.slug]))
    wishes = f" They would like: {listed(row.wished_kinds)}." if row.wished_kinds else ""
    letter = Letter(
        key=f"request/{row.pk}/{row.state}",
        kind=Message.Kind.NOTICE,
        to=site.organiser_email,
        subject=f"{row.name}, {row.school} {what}",
        text=(
            f"{row.name}, {row.school} {what}: about {plural(pupils, 'pupil')} with "
            f"{row.staff} staff.{wishes}\n\nThe whole request, and the answer:\n{page}\n"
        ),
    )
    put_letter(letter, session=None, site_id=site.pk, at=at)


def _tell_liaison(row: ClassRequest, subject: str, text: str, at: datetime) -> None:
    site = row.site
    page = build_address(reverse("group_list", args=[site.slug]))
    letter = Letter(
        key=f"request/{row.pk}/{row.state}",
        kind=Message.Kind.NOTICE,
        to=row.liaison.email,
        subject=f"{subject}, {site.name}",
        text=f"{text}\n\n{page}\n",
    )
    put_letter(letter, session=row.offered, site_id=site.pk, at=at)
