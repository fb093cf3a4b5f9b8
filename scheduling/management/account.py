"""The demo's account of a season, as sentences and small ledgers for a terminal.

Only words: every figure comes from the queries and results handed in.
"""

from collections import Counter
from pathlib import Path
from textwrap import wrap

from orchard.domain.place import Place
from orchard.domain.plan import AreaHardness
from orchard.queries.pages import PlanPage
from orchard.services.import_rows import ImportReport
from orchard.services.tasks import TaskChanges
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import SolveStatus
from scheduling.domain.rule import Finding, Severity
from scheduling.domain.wording import unit_words
from scheduling.queries.rosters import SessionRoster
from scheduling.queries.seasons import PlanWorth, SeasonPage
from scheduling.services.papers import WrittenPapers
from scheduling.services.publish import PublishReceipt

WIDTH = 92
INDENT = "   "

STATUS_WORDS = {
    SolveStatus.BEST: "proven best",
    SolveStatus.GOOD: "good, stopped before the proof",
    SolveStatus.IMPOSSIBLE: "impossible",
    SolveStatus.UNDECIDED: "undecided: no answer in the time given",
}


def heading(number: int, title: str) -> str:
    """Return a numbered heading with a blank line before it."""
    return f"\n{number}  {title}"


def paragraph(text: str, indent: str = INDENT) -> str:
    """Return a sentence or several, wrapped and indented."""
    return "\n".join(wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent))


def bullet(text: str) -> str:
    """Return one point of a list, wrapped under itself."""
    return "\n".join(
        wrap(text, WIDTH, initial_indent=f"{INDENT}- ", subsequent_indent=f"{INDENT}  ")
    )


def tell_import(report: ImportReport) -> str:
    """Say what loading the files did."""
    if not (report.created or report.changed or report.removed):
        return f"All {report.unchanged} entries of the files were there already."
    return (
        f"{report.created} entries added, {report.changed} changed, "
        f"{report.unchanged} as they were, {report.removed} removed."
    )


def tell_ground(place: Place, pockets: int, hardness: tuple[AreaHardness, ...]) -> list[str]:
    """Say what the site is and what its readings tell."""
    species = Counter(tree.species for tree in place.trees)
    kinds = ", ".join(f"{count} {name}" for name, count in sorted(species.items()))
    lines = [
        paragraph(
            f"{place.name}: {len(place.trees)} trees ({kinds}), {len(place.areas)} areas, "
            f"{pockets} pockets, buried-service corridors: {len(place.corridors)}."
        )
    ]
    lines += [bullet(f"Area {v.area} is {v.hardness}. {v.because}") for v in hardness]
    return lines


def tell_plan(page: PlanPage, changes: TaskChanges) -> list[str]:
    """Say what the plan became: tasks, effort, materials, cost."""
    hours = page.effort
    holes = sum(len(task.holes) for task in page.standing_tasks if task.opens_ground)
    lines = [
        paragraph(
            f"“{page.title.title}”: {len(page.treatments)} lines become "
            f"{len(page.standing_tasks)} tasks with {holes} core holes, about "
            f"{hours.mean_min / 60:.0f} person-hours ({hours.low_min / 60:.0f} if all goes well, "
            f"{hours.high_min / 60:.0f} if nothing does)."
        ),
        paragraph(
            f"{len(changes.created)} tasks new, {len(changes.changed)} changed, "
            f"{len(changes.unchanged)} as they were, {len(changes.withdrawn)} withdrawn."
        ),
    ]
    for material in page.materials:
        lines.append(
            bullet(
                f"{material.name}: {material.litres / 1000:.2f} m³, "
                f"{material.barrow_loads} barrow loads, {material.cost_cents / 100:,.2f}"
            )
        )
    left = page.left_cents / 100
    budget = f"{page.title.budget_cents / 100:,.2f}"
    verdict = f"{left:,.2f} left" if left >= 0 else f"{-left:,.2f} over"
    lines.append(
        paragraph(f"Cost {page.cost_cents / 100:,.2f} of a budget of {budget}: {verdict}.")
    )
    lines += [bullet(note) for note in changes.notes]
    return lines


def tell_worth(worth: PlanWorth) -> str:
    """Say how good the season plan is known to be."""
    gap = "" if worth.gap_percent is None else f", at most {worth.gap_percent:.1f} % below the best"
    value = "no value" if worth.value is None else f"value {worth.value:,}"
    bound = "no bound yet" if worth.bound is None else f"bound {worth.bound:,}"
    return paragraph(
        f"{STATUS_WORDS[SolveStatus(worth.status)].capitalize()}{gap} "
        f"({value}, {bound}; {worth.seconds:.1f} s)."
    )


def tell_season(page: SeasonPage) -> list[str]:
    """Say what each session does, and what found no place."""
    lines = []
    for line in page.lines:
        work = Counter(part.kind for part in line.session.work)
        kinds = ", ".join(f"{kind} ×{n}" if n > 1 else kind for kind, n in work.items())
        lines.append(
            f"{INDENT}{line.session.code}  {line.session.starts_at:%a %d %b %Y %H:%M}  "
            f"{line.heads.signed_up:3d} coming  {line.session.person_min / 60:5.1f} h  "
            f"{kinds or 'nothing planned'}"
        )
    lines.append(
        f"{INDENT}{'':25}{page.signed_up:3d} places       {page.person_min / 60:5.1f} h planned"
    )
    if page.plan:
        lines.append(tell_worth(page.plan))
        left_out = page.plan.left_out
        if left_out:
            lines.append(paragraph(f"Left out, with the reason ({len(left_out)}):"))
        lines += [bullet(reason) for reason in left_out]
    return lines


def tell_coming(problem: RosterProblem) -> str:
    """Say who is coming to a session."""
    if not problem.people:
        return paragraph("Nobody is signed up.")
    ages = [person.age for person in problem.people]
    young = sum(age < ADULT_AGE for age in ages)
    checked = sum(person.checked and not person.is_young for person in problem.people)
    leads = sum(person.holds(problem.lead_skill, problem.on) for person in problem.people)
    aiders = sum(person.holds(problem.first_aid_skill, problem.on) for person in problem.people)
    return paragraph(
        f"{len(ages)} people from {min(ages)} to {max(ages)} are coming, {young} of them under "
        f"{ADULT_AGE}; {checked} supervising adults, {leads} who may lead a crew, "
        f"{aiders} first aiders. {len(problem.tasks)} tasks are on offer, "
        f"{sum(task.required for task in problem.tasks)} of them required."
    )


def tell_roster(roster: SessionRoster) -> list[str]:
    """Say what the roster gets done, how good it is, and what the rules say of it."""
    printed = roster.printed
    crews = {(a.round, a.task) for a in printed.roster.assignments}
    lines = [
        paragraph(
            f"Version {roster.version}, {STATUS_WORDS[SolveStatus(roster.status)]}, "
            f"{roster.seconds:.1f} s: {len(crews)} crews over {len(printed.session.rounds)} "
            f"rounds, {len(printed.roster.assignments)} places filled. "
            f"{_tell_value(roster.value, roster.bound)}"
        )
    ]
    lines += [
        bullet(f"{task.task.title}: {unit_words(task.units_planned, task.task.unit)}")
        for task in printed.tasks
    ]
    lines += _tell_findings(roster.findings)
    lines += [bullet(reason) for reason in roster.unfilled]
    return lines


def _tell_findings(findings: tuple[Finding, ...]) -> list[str]:
    """Say what the rule book finds: what blocks first, each with its rule and source."""
    blocking = sum(finding.severity is Severity.BLOCKS for finding in findings)
    head = "The rule book blocks nothing in it." if not blocking else f"{blocking} findings block."
    if len(findings) > blocking:
        head += f" It has {len(findings) - blocking} warnings and notes:"
    return [
        paragraph(head),
        *(bullet(f"{f.severity}: {f.text} ({f.rule}, {f.source})") for f in findings),
    ]


def _tell_value(value: dict[str, int], bound: dict[str, int]) -> str:
    """Say what a roster's staged value means: required work first, then spare work."""
    if not (value and bound):
        return "How good it is was not found out in the time given."
    if value["required_left"] == 0:
        required = "All required work is done"
    elif value["required_left"] == bound["required_left"]:
        required = "Some required work stays undone, as little as can be"
    else:
        required = "Some required work stays undone, perhaps more than need be"
    best = bound["other_done"]
    if best <= 0:
        return f"{required}; there is no spare work."
    share = 100 * value["other_done"] / best
    return f"{required}; of the spare work at least {share:.0f} % of what could be done is."


def _extra_words(path: Path) -> str:
    return "Cards" if "-cards-" in path.name else "Sheet for the gate"


def tell_papers(papers: WrittenPapers, receipt: PublishReceipt, folder: Path) -> list[str]:
    """Say what was written where, and whose calendar was told."""
    lines = [bullet(f"Day pack: {path}") for path in papers.day_packs]
    lines += [bullet(f"{_extra_words(path)}: {path}") for path in papers.extras]
    lines.append(bullet(f"Calendar file of the session: {papers.session_file}"))
    lines.append(bullet(f"{len(papers.invites)} invites: {folder / 'invites'}"))
    lines.append(bullet(f"{len(papers.mails)} mails as they are sent: {folder / 'mail'}"))
    lines.append(
        paragraph(
            f"{receipt.invites} invites put in the outbox, {receipt.unchanged} unchanged, "
            f"{receipt.cancelled} withdrawn. Send them with: manage.py send_messages"
        )
    )
    if receipt.unreachable:
        names = ", ".join(receipt.unreachable)
        lines.append(paragraph(f"No address is known for {names}: print their papers."))
    return lines
