"""Writes a session's papers and invites to a folder, each file whole or not at all."""

import re
import unicodedata
from dataclasses import dataclass, replace
from pathlib import Path
from secrets import token_hex

from scheduling.invites.content import Invite, build_invites
from scheduling.invites.encode import encode_invite, encode_session_file
from scheduling.models import InviteState
from scheduling.queries.rosters import load_printed
from scheduling.services.publish import build_site_address
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.paper import Paper
from scheduling.sheets.render import render_day_pack


@dataclass(frozen=True, slots=True)
class WrittenPapers:
    """Where the papers lie."""

    day_packs: tuple[Path, ...]
    session_file: Path
    invites: tuple[Path, ...]


def write_papers(*, roster_id: int, folder: Path) -> WrittenPapers:
    """Write the day pack on both papers, the session's calendar file and every invite.

    Files of an earlier run for the same session are replaced; invites of people
    who are no longer on the roster go.

    Raises:
        RosterUnknown: If there is no such roster.
        OSError: If the folder cannot be written.
    """
    printed = load_printed(roster_id)
    code = printed.session.code
    folder.mkdir(parents=True, exist_ok=True)
    pack = build_day_pack(printed)
    day_packs = tuple(
        _write(
            folder / f"{code}-day-pack-{paper.name.lower()}.pdf", render_day_pack(pack, paper=paper)
        )
        for paper in Paper
    )
    address = build_site_address(printed.site)
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
    return WrittenPapers(day_packs, session_file, invites)


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
    return f"{letters.strip('-') or 'person'}-{invite.uid[:8]}"
