"""Writes a session's papers and invites to a folder, each file whole or not at all."""

import re
import unicodedata
from dataclasses import dataclass, replace
from pathlib import Path
from secrets import token_hex
from typing import Any

from scheduling.domain.published import PublishedRoster
from scheduling.invites.content import Invite, build_invites
from scheduling.invites.encode import encode_invite, encode_session_file
from scheduling.models import InviteState, Message
from scheduling.queries.out_of_date import find_changes_since
from scheduling.queries.rosters import load_printed
from scheduling.services.addresses import build_session_address, build_site_address
from scheduling.services.outbox import build_mail
from scheduling.sheets.cards import render_cards
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.paper import Paper
from scheduling.sheets.parts import DayPack
from scheduling.sheets.poster import render_poster
from scheduling.sheets.render import render_day_pack

LONGEST_FILE_STEM = 100
"""Letters of a name in a file's name, which may have 255 octets on the usual file systems."""


@dataclass(frozen=True, slots=True)
class WrittenPapers:
    """Where the papers lie."""

    day_packs: tuple[Path, ...]
    session_file: Path
    invites: tuple[Path, ...]
    extras: tuple[Path, ...] = ()  # the cards and the gate's sheet
    mails: tuple[Path, ...] = ()


def load_papers(roster_id: int) -> tuple[PublishedRoster, DayPack]:
    """Return a roster as printed and its worded day pack, told what changed since publishing.

    Raises:
        RosterUnknown: If there is no such roster.
        GroundError: If the site or a task has nothing to draw.
    """
    printed = load_printed(roster_id)
    address = build_site_address(printed.site.code)
    changed = find_changes_since(roster_id, printed, base_url=address)
    printed = replace(printed, changed_since=changed)
    return printed, build_day_pack(printed, record_address=f"{_page(printed)}record/")


def _page(printed: PublishedRoster) -> str:
    return build_session_address(printed.site.code, printed.session.season, printed.session.code)


def write_papers(*, roster_id: int, folder: Path) -> WrittenPapers:
    """Write the papers on A4 and Letter, the session's calendar file, every invite and mail.

    Files of an earlier run for the same session are replaced; invites of people
    who are no longer on the roster go.

    Raises:
        RosterUnknown: If there is no such roster.
        OSError: If the folder cannot be written.
    """
    printed, pack = load_papers(roster_id)
    code = _code(printed)
    folder.mkdir(parents=True, exist_ok=True)
    day_packs = tuple(
        _write(
            folder / f"{code}-day-pack-{paper.name.lower()}.pdf", render_day_pack(pack, paper=paper)
        )
        for paper in Paper
    )
    address = build_site_address(printed.site.code)
    session_file = _write(
        folder / f"{code}.ics",
        encode_session_file(
            printed.site, printed.session, stamp=printed.published_at, base_url=address
        ),
    )
    sequences = dict(
        InviteState.objects.filter(session__rosters=roster_id).values_list("uid", "sequence")
    )
    invites = tuple(
        _write(
            folder / "invites" / f"{code}-{_file_name(invite)}.ics",
            encode_invite(
                replace(invite, sequence=sequences.get(invite.uid, 0)), stamp=printed.published_at
            ),
        )
        for invite in build_invites(printed, sequence={}, base_url=address)
    )
    for stale in set((folder / "invites").glob(f"{code}-*.ics")) - set(invites):
        stale.unlink()
    extras = tuple(
        _write(folder / f"{code}-{name}-{paper.name.lower()}.pdf", written)
        for paper in Paper
        for name, written in (
            ("cards", render_cards(printed, paper=paper)),
            ("gate", render_poster(printed, page_address=_page(printed), paper=paper)),
        )
    )
    mails = _write_mails(roster_id, folder / "mail", code)
    return WrittenPapers(day_packs, session_file, invites, extras, mails)


def _write_mails(roster_id: int, folder: Path, code: str) -> tuple[Path, ...]:
    """Write every mail the session caused, as it is sent, sent or not; those of before go."""
    messages = Message.objects.filter(session__rosters=roster_id).select_related("site")
    written = tuple(
        _write(
            folder / f"{code}-{message.pk:06d}-{message.kind}.eml",
            _mail_bytes(message),
        )
        for message in messages.order_by("pk")
    )
    for stale in set(folder.glob(f"{code}-*.eml")) - set(written):
        stale.unlink()
    return written


def _mail_bytes(message: Message) -> bytes:
    """Return a mail's octets, the same at every writing: its boundaries follow from its place."""
    mail: Any = build_mail(message).message()
    for number, part in enumerate(part for part in mail.walk() if part.is_multipart()):
        part.set_boundary(f"=_{number}_{message.pk}_part")
    octets: bytes = mail.as_bytes(linesep="\r\n")
    return octets


def _code(printed: PublishedRoster) -> str:
    """Return the session's code after its season's: next year has an S01 too."""
    words = f"{printed.session.season}-{printed.session.code}"
    return re.sub(r"[^A-Za-z0-9.-]+", "-", words).strip("-.") or "session"


def _write(path: Path, content: bytes) -> Path:
    """Write beside the place and move there, so that no reader meets half a file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{token_hex(4)}")
    try:
        draft.write_bytes(content)
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
    return path


def _file_name(invite: Invite) -> str:
    """Return a plain file name for an invite: who it is for, and enough of its UID to be one."""
    who = invite.summary.rpartition(": for ")[2] if ": for " in invite.summary else ""
    plain = unicodedata.normalize("NFKD", who or invite.attendee_name)
    letters = re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode().lower())
    return f"{letters[:LONGEST_FILE_STEM].strip('-') or 'person'}-{invite.uid[:8]}"
