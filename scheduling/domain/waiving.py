"""Findings that two people may set aside, and the mark by which one is known again.

Front doors: `mark_finding`, `why_not_waivable`. Who the two are and what they
wrote is kept by `services.waivers`. A waiver clears nothing: the finding stays
shown, it only no longer keeps a roster from being published.
"""

from hashlib import sha256

from scheduling.domain.rule import Finding, Severity
from scheduling.domain.rules import RULES


def mark_finding(finding: Finding) -> str:
    """Return a mark that two findings share only when they say the same of the same people.

    Returns:
        64 hexadecimal digits over the rule, its words, the people, the task,
        the round and the figures. A finding that got worse has another mark.
    """
    parts = (
        finding.rule,
        finding.text,
        ",".join(str(person) for person in sorted(finding.people)),
        str(finding.task),
        str(finding.round),
        str(finding.required),
        str(finding.found),
    )
    return sha256("\x1f".join(parts).encode()).hexdigest()


def why_not_waivable(finding: Finding) -> str:
    """Return why a finding may not be waived, in a sentence; empty when it may.

    Only a finding that blocks is worth waiving, and only where its rule says
    that two people together may do so.
    """
    if finding.severity is not Severity.BLOCKS:
        return f"Rule {finding.rule} does not block here, so there is nothing to waive."
    rule = next((rule for rule in RULES if rule.code == finding.rule), None)
    if rule is None or not rule.waivable:
        return (
            f"Nobody may waive rule {finding.rule}: no reason and no consent lifts it. Change the "
            "roster or the work instead."
        )
    return ""
