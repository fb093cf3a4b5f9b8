"""Reads the waivers of a session and puts each beside the finding it is about."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling.domain.rule import Finding, Severity
from scheduling.domain.waiving import mark_finding, why_not_waivable
from scheduling.models import Waiver


@dataclass(frozen=True, slots=True)
class KeptWaiver:
    """A waiver as kept: proposed, and in force once somebody else confirmed it."""

    id: int
    rule: str
    text: str
    mark: str
    reason: str
    proposed_by: int
    proposed_name: str
    proposed_at: datetime
    confirmed_name: str
    confirmed_at: datetime | None
    withdrawn_name: str
    withdrawn_at: datetime | None

    @property
    def in_force(self) -> bool:
        """Whether two people stand behind it and nobody took it back."""
        return self.confirmed_at is not None and self.withdrawn_at is None


@dataclass(frozen=True, slots=True)
class JudgedFinding:
    """A finding with its mark, the waiver on it if there is one, and whether there may be one."""

    finding: Finding
    mark: str
    waiver: KeptWaiver | None
    why_not: str

    @property
    def blocks(self) -> bool:
        """Whether it keeps a roster from being published: no waiver in force lifts it."""
        waived = self.waiver is not None and self.waiver.in_force
        return self.finding.severity is Severity.BLOCKS and not waived

    @property
    def may_be_waived(self) -> bool:
        """Whether a waiver could be proposed on it now."""
        return not self.why_not and self.waiver is None


def load_waivers(session_id: int) -> tuple[KeptWaiver, ...]:
    """Return every waiver of a session, withdrawn ones too, in order of proposal."""
    return tuple(_kept(row) for row in Waiver.objects.filter(session_id=session_id))


def judge_findings(session_id: int, findings: Iterable[Finding]) -> tuple[JudgedFinding, ...]:
    """Return findings in their order, each with the waiver that stands on it."""
    standing = {w.mark: w for w in load_waivers(session_id) if w.withdrawn_at is None}
    judged = []
    for finding in findings:
        mark, why_not = mark_finding(finding), why_not_waivable(finding)
        # A rule that lost its waiver since is not lifted by one that was given before.
        waiver = None if why_not else standing.get(mark)
        judged.append(JudgedFinding(finding, mark, waiver, why_not))
    return tuple(judged)


def _kept(row: Waiver) -> KeptWaiver:
    return KeptWaiver(
        id=row.pk,
        rule=row.rule,
        text=row.text,
        mark=row.digest,
        reason=row.reason,
        proposed_by=row.proposed_by_id,
        proposed_name=row.proposed_name,
        proposed_at=row.proposed_at,
        confirmed_name=row.confirmed_name,
        confirmed_at=row.confirmed_at,
        withdrawn_name=row.withdrawn_name,
        withdrawn_at=row.withdrawn_at,
    )
