"""Text from the public made fit for a calendar file.

For names, titles and addresses on their way into an invite. Not for escaping:
the calendar library does that when it writes the file.
"""

import re
import unicodedata
from urllib.parse import quote

from orchard.domain.errors import PlannerError

# Marks that turn the direction of the text round them: a name could hide or forge words with them.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_BREAKING = frozenset("\u2028\u2029")
# RFC 5322 dot-atom on both sides, widened to letters of any script (RFC 6532).
_ADDRESS = re.compile(
    r"[\w!#$%&'*+/=?^`{|}~-]+(\.[\w!#$%&'*+/=?^`{|}~-]+)*@[^\W_](?:[\w-]|\.(?=[^\W_]))*"
)
_LONGEST_ADDRESS = 254  # characters, RFC 5321 section 4.5.3.1.3 less the angle brackets


class InviteError(PlannerError):
    """A roster or a session that cannot be put into a calendar file."""

    code = "invites"


def plain_line(text: str) -> str:
    """Return the text as one line without control characters, composed (NFC), trimmed."""
    return " ".join(plain_text(text).split())


def plain_text(text: str) -> str:
    """Return the text with `\\n` as its only control character, composed (NFC), trimmed."""
    one_kind = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ")
    kept = (_plain_character(character) for character in one_kind)
    return unicodedata.normalize("NFC", "".join(kept)).strip()


def _plain_character(character: str) -> str:
    if character in _BREAKING:
        return "\n"
    if character in _TURNING or unicodedata.category(character) == "Cs":
        return ""
    if unicodedata.category(character) == "Cc" and character != "\n":
        return " "
    return character


def is_address(text: str) -> bool:
    """Say whether the text is one bare mail address that an invite can carry."""
    return len(text) <= _LONGEST_ADDRESS and _ADDRESS.fullmatch(text) is not None


def mailto(address: str) -> str:
    """Return the address as a `mailto:` URI.

    Raises:
        InviteError: If it is not one bare mail address.

    Source:
        RFC 6068 section 2: what is neither unreserved nor allowed is percent-encoded.
    """
    if not is_address(address):
        raise InviteError(
            f"“{plain_line(address)}” is not a mail address an invite can carry. "
            "Put it right on the person or the site, as name@domain without spaces."
        )
    return "mailto:" + quote(address, safe="@!$'*+-._~")
