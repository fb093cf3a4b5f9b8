"""The day pack's words, built from a published roster: `build_day_pack`.

Not for layout or fonts (`render`), and not for deciding anything: the roster
and the tasks say what is printed.
"""

from dataclasses import replace

from orchard.domain.boreholes import build_tape_pairs, find_pegs
from orchard.domain.drawing import build_site_drawing
from orchard.domain.drawing_units import draw_in
from orchard.domain.ordering import natural_key
from orchard.domain.place import Pocket
from orchard.domain.plan import PlannedTask
from orchard.domain.unit_words import say_in
from orchard.domain.units import System, format_tape
from scheduling.domain.published import PublishedRoster
from scheduling.domain.weather import DayState, WeatherVerdict
from scheduling.domain.wording import listed, plural, weekday_words
from scheduling.sheets.day import Day, build_day
from scheduling.sheets.kit import build_kit_list
from scheduling.sheets.parts import (
    Briefing,
    CautionLine,
    CloseOutLine,
    CloseOutSheet,
    DayPack,
    Fact,
    NearMissForm,
    SettingOutSheet,
    Sign,
    TapeLine,
    TaskLine,
    TaskSheet,
)
from scheduling.sheets.rolls import build_roster_table, build_sign_in_sheet
from scheduling.sheets.tasks import amount_words, build_task_sheet, merge_cautions, rounds_words
from scheduling.sheets.words import foot_words, span_words

_SIGN_ORDER: tuple[Sign, ...] = (
    "stop",
    "services",
    "lift",
    "hands",
    "feet",
    "eyes",
    "dust",
    "heat",
)
_PRINTED_ROLES = ("session lead", "crew lead", "first aider", "supervising adult")

# Common practice, no source.
CLOSE_OUT_WORDS = (
    "The lead walks every pocket with this sheet before anyone signs out.",
    "Opened must equal filled. If it does not: nobody leaves, fill it now.",
    "A hole that cannot be filled is covered with a board, marked and fenced, and the "
    "organiser is called before the gate is shut.",
)
SETTING_OUT_HOW = (
    "Drive a peg at A and one at B, as on the drawing; check the distance between them.",
    "Hook one tape on each peg. Pull both until they meet at the two lengths of a hole.",
    "Stand with A on your left and B on your right: the pocket lies in front of you. "
    "Mark the meeting point with its number.",
)


# Common practice, no source. Who must report what to whom is a matter of local law.
NEAR_MISS_WORDS = (
    "A near miss hurt nobody and could have. Anyone may fill this in; nobody is blamed for it.",
    "Make the place safe first. Then hand this to the session lead today, not tomorrow.",
    "When somebody is hurt: call for help, then write. The organiser finds out what local law "
    "asks to be reported.",
    "Write roles, not names of young people: “a pupil”, “a crew lead”.",
)
NEAR_MISS_KINDS = ("Nearly hurt", "First aid", "Breakage", "Dangerous place", "Buried service")
NEAR_MISS_QUESTIONS = (
    "Where (task letter, tree, pocket, path) and at what time",
    "What happened, or nearly did",
    "Who was near, by role",
    "What was done at once",
    "What would keep it from happening again",
)


def build_day_pack(roster: PublishedRoster, *, record_address: str = "") -> DayPack:
    """Return everything to print for one session, worded.

    Args:
        roster: The published roster; nothing that it does not hold is printed.
        record_address: Where what was done is typed in afterwards; printed as a code.

    Raises:
        GroundError: If the site or a task has nothing to draw.
    """
    day = build_day(roster)
    planned = tuple(named.day_task.task for named in day.tasks)
    marks = tuple(named.letter for named in day.tasks)
    site_drawing = build_site_drawing(roster.place, roster.pockets, tasks=planned, marks=marks)
    task_sheets = tuple(
        replace(build_task_sheet(day, named), record_address=record_address) for named in day.tasks
    )
    return DayPack(
        title=f"Day pack: {roster.session.title}",
        site=f"{roster.site.name}, {roster.site.town}",
        foot=foot_words(roster),
        subject=(
            f"{roster.site.name}, {weekday_words(roster.session.starts_at)}, "
            f"version {roster.version}"
        ),
        briefing=_build_briefing(day),
        map_title=f"{roster.place.name}: where today's work lies",
        site_drawing=draw_in(site_drawing, roster.system),
        roster=build_roster_table(day),
        task_sheets=task_sheets,
        setting_out=_build_setting_out(day, task_sheets),
        sign_in=build_sign_in_sheet(roster),
        kit=build_kit_list(day),
        close_out=_build_close_out(day),
        near_miss=_build_near_miss(roster),
        changed_since=roster.changed_since,
    )


def _build_near_miss(roster: PublishedRoster) -> NearMissForm:
    session = roster.session
    return NearMissForm(
        facts=(
            Fact("Session", f"{session.title}, {weekday_words(session.starts_at)}"),
            Fact("Call", roster.site.emergency.number),
            Fact("Hand to", f"the session lead; then {roster.site.organiser_name}"),
        ),
        words=NEAR_MISS_WORDS,
        kinds=NEAR_MISS_KINDS,
        questions=NEAR_MISS_QUESTIONS,
    )


def _build_briefing(day: Day) -> Briefing:
    site, session = day.roster.site, day.roster.session
    facts = [
        Fact(
            "When",
            f"{weekday_words(session.starts_at)}, {span_words(session.starts_at, session.ends_at)}",
        ),
        Fact("Where", f"{site.name}, {site.town}. Meet at {session.meeting_point}"),
        Fact("Why", session.purpose),
        Fact("Bring", session.bring),
        Fact("Organiser", f"{site.organiser_name}, {site.organiser_email}"),
    ]
    rounds = "; ".join(
        f"{times.number}: {span_words(times.starts_at, times.ends_at)}" for times in session.rounds
    )
    facts.append(Fact("Rounds", rounds))
    tasks = tuple(
        TaskLine(
            named.letter,
            named.day_task.task.title,
            named.day_task.task.where,
            amount_words(day, named),
            rounds_words(day, named),
        )
        for named in day.tasks
    )
    return Briefing(
        title=session.title,
        facts=tuple(fact for fact in facts if fact.text.strip()),
        emergency=_emergency(day.roster),
        who=_who(day.roster),
        tasks=tasks,
        hazards=_hazards(tuple(named.day_task.task for named in day.tasks)),
        weather=_weather(day.roster.weather, day.roster.system),
    )


def _weather(verdict: WeatherVerdict | None, system: System) -> tuple[Fact, ...]:
    """Return what the forecast turns the day into, the worst first; nothing without a sheet."""
    if verdict is None:
        return ()
    states = {
        DayState.GO: "Go, as planned",
        DayState.AMBER: "With care",
        DayState.STOP: "Stop: the day does not take place like this",
    }
    facts = [Fact("The day", f"{states[verdict.state]}. {_rhythm(verdict)}".strip())]
    if verdict.light_tasks_only:
        facts.append(Fact("Work", "Light tasks only, for everybody"))
    if verdict.clear_of_trees:
        facts.append(Fact("Trees", "Nobody works under the canopies"))
    water = f"{verdict.water_litres_per_person_h:g} L an hour for each person"
    if verdict.water_litres_per_person:
        water += f", {verdict.water_litres_per_person:g} L over the session"
    facts.append(Fact("Water", say_in(water, system)))
    facts += [Fact(str(s.state).capitalize(), say_in(s.text, system)) for s in verdict.sentences]
    facts.append(Fact("On the day", "Look up: what the sky does goes before this sheet."))
    return tuple(facts)


def _rhythm(verdict: WeatherVerdict) -> str:
    if not verdict.round_minutes:
        return ""
    return f"Rounds of {verdict.round_minutes} min, breaks of {verdict.break_minutes} min"


def _emergency(roster: PublishedRoster) -> tuple[Fact, ...]:
    facts = roster.site.emergency
    return (
        Fact("Call", facts.number),
        Fact("Entrance", facts.entrance),
        Fact("Position", f"{facts.latitude:.5f}, {facts.longitude:.5f} (latitude, longitude)"),
        Fact("Emergency department", facts.nearest_emergency_department),
        Fact("Muster at", facts.muster_point),
        Fact("Shelter", facts.shelter),
    )


def _who(roster: PublishedRoster) -> tuple[Fact, ...]:
    facts = []
    for role in _PRINTED_ROLES:
        names = sorted(person.name for person in roster.people if role in person.roles)
        label = role.capitalize() + ("s" if len(names) > 1 else "")
        facts.append(Fact(label, ", ".join(names) or "nobody named: ask before work starts"))
    young = sum(person.is_young for person in roster.people)
    facts.append(
        Fact("Expected", f"{plural(len(roster.people), 'volunteer')}, {young} of them under 18")
    )
    return tuple(facts)


def _hazards(tasks: tuple[PlannedTask, ...]) -> tuple[CautionLine, ...]:
    """Return the day's cautions once each, by sign; the task sheets hold all of them."""
    seen = {(caution.sign, caution.text) for task in tasks for caution in task.cautions}
    lines = sorted(seen, key=lambda item: (_SIGN_ORDER.index(item[0]), item[1]))
    return merge_cautions(CautionLine(sign, text) for sign, text in lines)


def _build_setting_out(day: Day, sheets: tuple[TaskSheet, ...]) -> tuple[SettingOutSheet, ...]:
    pockets = {pocket.code: pocket for pocket in day.roster.pockets}
    found = []
    for named, sheet in zip(day.tasks, sheets, strict=True):
        task = named.day_task.task
        pocket = pockets.get(task.pocket)
        if task.opens_ground and task.holes and pocket:
            found.append(
                SettingOutSheet(
                    pocket=pocket.code,
                    letter=named.letter,
                    title=f"Setting out pocket {pocket.code} for task {named.letter}",
                    drawing=sheet.drawing,
                    how=SETTING_OUT_HOW,
                    lines=_tape_lines(pocket, task, day.roster.system),
                )
            )
    return tuple(found)


def _tape_lines(pocket: Pocket, task: PlannedTask, system: System) -> tuple[TapeLine, ...]:
    peg_a, peg_b = find_pegs(pocket)
    holes = tuple(sorted(task.holes, key=lambda hole: hole.number))
    names = {hole.number: f"{hole.number}\u00a0{hole.name}".strip() for hole in holes}
    return tuple(
        TapeLine(
            names[pair.number],
            format_tape(pair.from_a_m, system),
            format_tape(pair.from_b_m, system),
        )
        for pair in build_tape_pairs(holes, peg_a, peg_b)
    )


def _build_close_out(day: Day) -> CloseOutSheet | None:
    lines = []
    for named in day.tasks:
        task = named.day_task.task
        if not task.opens_ground:
            continue
        filling = [other for other in day.tasks if other.day_task.task.closes == task.key]
        names = [f"{other.letter} {other.day_task.task.title}" for other in filling]
        by = listed(names) or "no task today: ask the session's lead before boring"
        lines.append(CloseOutLine(named.letter, task.title, amount_words(day, named), by))
    if not lines:
        return None
    ordered = sorted(lines, key=lambda line: natural_key(line.letter))
    return CloseOutSheet(tuple(ordered), CLOSE_OUT_WORDS)
