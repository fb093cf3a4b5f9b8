"""State as a word with a shape: filled, half, empty or struck. Never a colour alone."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

_RIM = '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="1.8"/>'
_SHAPES = {
    "filled": '<circle cx="8" cy="8" r="6.9" fill="currentColor"/>',
    "half": _RIM + '<path d="M8 2a6 6 0 0 0 0 12z" fill="currentColor"/>',
    "empty": _RIM,
    "struck": _RIM + '<path d="M3.4 12.6 12.6 3.4" stroke="currentColor" stroke-width="1.8"/>',
}

# Every word a page shows as a state, with its shape. An unknown word gets the empty circle.
_SHAPE_OF = {
    "draft roster": "half",
    "published roster": "filled",
    "no roster yet": "empty",
    "open for sign-up": "empty",
    "roster published": "filled",
    "open": "empty",
    "part done": "half",
    "done": "filled",
    "called off": "struck",
    "withdrawn": "struck",
    "confirmed": "filled",
    "signed up": "filled",
    "not signed up": "empty",
    "asked": "empty",
    "a session is offered": "half",
    "spaces offered": "half",
    "declined": "struck",
    "taken back": "struck",
    "asked a week before": "empty",
    "to be confirmed": "half",
    "not confirmed": "struck",
    "says so, not signed off": "empty",
    "refused": "struck",
    "covered": "filled",
    "no locate": "struck",
    "met": "filled",
    "not met": "struck",
    "blocks": "struck",
    "warns": "half",
    "notes": "empty",
    "best": "filled",
    "good": "half",
    "impossible": "struck",
    "undecided": "empty",
    "changed": "half",
    "by hand": "half",
    "repaired": "half",
    "spare hands": "half",
    "waived": "half",
    "waiver proposed": "empty",
    "suits": "filled",
    "does not suit": "struck",
    "adopted": "filled",
    "not adopted": "empty",
    "go": "filled",
    "amber": "half",
    "stop": "struck",
    "no sheet yet": "empty",
    "withdrawn guidance": "struck",
    "on target": "filled",
    "low": "half",
    "high": "half",
    "well supported": "filled",
    "supported": "filled",
    "contested": "half",
    "common practice": "empty",
    "not known": "empty",
    "hindered": "half",
    "compacted": "filled",
    "severely compacted": "filled",
    "nobody under 18 opens this ground yet": "half",
    "nobody opens this ground": "struck",
    "past use and a clear soil test are on record": "filled",
    "in date": "filled",
    "too early": "empty",
    "expired": "struck",
    "marks lost": "struck",
    "not marked yet": "empty",
    "cannot be told": "empty",
    "with a warning": "half",
    "published": "filled",
    "reprint": "half",
    "proposed": "empty",
    "from memory": "empty",
    "waiting": "empty",
    "searching": "half",
    "stopping": "half",
    "ended": "filled",
    "failed": "struck",
    "lost": "struck",
    "fixed": "filled",
    "in use": "filled",
    "stands": "half",
    "replaced": "struck",
    "asked anew": "half",
    "rests": "empty",
}


@register.simple_tag
def state(word: str) -> SafeString:
    """Return the word with its shape before it; the shape says nothing the word does not."""
    drawn = _SHAPES[_SHAPE_OF.get(str(word), "empty")]
    return format_html(
        '<span class="state"><svg class="state-shape" viewBox="0 0 16 16" width="16" height="16" '
        'aria-hidden="true" focusable="false">{}</svg>{}</span>',
        mark_safe(drawn),  # noqa: S308 (one of the four constants above)
        word,
    )
