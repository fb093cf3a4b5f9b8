"""Opens a first-aid note on the day, and keeps that it was opened: never the note itself.

Not for writing notes: that is the guardian's (`households`).
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from scheduling.models import NoteView
from scheduling.queries.first_aid import find_noted_person, may_read_notes


@dataclass(frozen=True, slots=True)
class OpenedNote:
    """A note as it is shown once: whose, its words, when they were written."""

    name: str
    text: str
    written_at: datetime


def open_note(*, session_id: int, person_id: int, user_id: int, at: datetime) -> OpenedNote | None:
    """Return a note for one look, and keep one row that it was looked at.

    Every look is kept, so looking twice is two rows: who looked again is told too.

    Args:
        session_id: The session.
        person_id: Whose note.
        user_id: Who looks.
        at: The present moment.

    Returns:
        The note, or None (and no row) if the account may not read it now, or there is none.

    Raises:
        SessionUnknown: If there is no such session.
    """
    with transaction.atomic():
        if not may_read_notes(session_id=session_id, user_id=user_id, at=at):
            return None
        person = find_noted_person(session_id=session_id, person_id=person_id)
        if person is None:
            return None
        NoteView.objects.create(person=person, viewed_by_id=user_id, session_id=session_id, at=at)
        note = person.first_aid_note
        return OpenedNote(name=str(person), text=note.text, written_at=note.written_at)
