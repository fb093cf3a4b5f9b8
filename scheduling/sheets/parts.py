"""The parts of a day pack as frozen values, worded and ready to print.

Everything here is text, counts and drawings; `content` fills it and `render`
prints it. Not for layout, and never for birth dates, health notes or family
names of young people: the values it is built from hold none.
"""

from dataclasses import dataclass
from typing import Literal

from orchard.domain.drawing import Drawing

Sign = Literal["stop", "lift", "eyes", "hands", "feet", "heat", "services", "dust"]


@dataclass(frozen=True, slots=True)
class CautionLine:
    """A sign, its word, and what to do."""

    sign: Sign
    text: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled line."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class TaskLine:
    """One task of the day in one line of the briefing."""

    letter: str
    title: str
    where: str
    amount: str
    rounds: str


@dataclass(frozen=True, slots=True)
class Briefing:
    """What is said to everybody before work starts."""

    title: str
    facts: tuple[Fact, ...]
    emergency: tuple[Fact, ...]
    who: tuple[Fact, ...]
    tasks: tuple[TaskLine, ...]
    hazards: tuple[CautionLine, ...]
    weather: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class CrewLine:
    """A crew in one round: people already in printing order, the lead first."""

    letter: str
    title: str
    people: tuple[str, ...]
    amount: str


@dataclass(frozen=True, slots=True)
class RoundBlock:
    """One round of the roster table."""

    heading: str
    crews: tuple[CrewLine, ...]
    without_task: str


@dataclass(frozen=True, slots=True)
class PersonLine:
    """One person (or pupils who go together) and the task letter in each round."""

    name: str
    roles: str
    letters: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RosterTable:
    """Who works where: by round and crew, and by name."""

    rounds: tuple[RoundBlock, ...]
    round_heads: tuple[str, ...]
    people: tuple[PersonLine, ...]


@dataclass(frozen=True, slots=True)
class CrewRound:
    """A task sheet's crew in one round."""

    round: str
    people: tuple[str, ...]
    amount: str


@dataclass(frozen=True, slots=True)
class TaskSheet:
    """Everything a crew needs for one task."""

    letter: str
    title: str
    where: str
    amounts: tuple[str, ...]
    order: tuple[str, ...]
    tools: tuple[str, ...]
    materials: tuple[str, ...]
    crews: tuple[CrewRound, ...]
    steps: tuple[str, ...]
    cautions: tuple[CautionLine, ...]
    stop_when: tuple[str, ...]
    unit: str
    records_refused_holes: bool
    drawing: Drawing
    record_address: str = ""  # of the page where the boxes are typed in; empty prints no code


@dataclass(frozen=True, slots=True)
class TapeLine:
    """One hole's tape lengths from the two pegs, as printed.

    `hole` is its number on the task sheets and its name in the pocket: "78 F3".
    """

    hole: str
    from_a: str
    from_b: str


@dataclass(frozen=True, slots=True)
class SettingOutSheet:
    """How to find every hole of one pocket with two tapes."""

    pocket: str
    letter: str  # of the task that bores
    title: str
    drawing: Drawing
    how: tuple[str, ...]
    lines: tuple[TapeLine, ...]


@dataclass(frozen=True, slots=True)
class SignInLine:
    """One person, or one class counted in one line."""

    name: str
    group: str
    roles: str
    collected_by: str
    count: int = 0  # 0 for a person, else how many the class should have

    @property
    def is_class(self) -> bool:
        """Whether the line counts a class."""
        return self.count > 0


@dataclass(frozen=True, slots=True)
class SignInSheet:
    """Who is expected, with room for times of arrival and leaving."""

    lines: tuple[SignInLine, ...]
    total: str


@dataclass(frozen=True, slots=True)
class ToolLine:
    """A tool: how many are needed at once, how many there are."""

    name: str
    needed: int
    on_hand: int
    note: str


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """A material: volume, and the same in things a person can count."""

    name: str
    volume: str
    bags: str
    barrows: str
    weight: str


@dataclass(frozen=True, slots=True)
class KitList:
    """What must be on the site before the first round."""

    tools: tuple[ToolLine, ...]
    materials: tuple[MaterialLine, ...]
    always: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CloseOutLine:
    """One task that opens ground, and the task that fills its holes."""

    letter: str
    title: str
    planned: str
    filled_by: str


@dataclass(frozen=True, slots=True)
class CloseOutSheet:
    """Proof that no hole is left open."""

    lines: tuple[CloseOutLine, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NearMissForm:
    """What nearly hurt somebody, written down by anyone who saw it."""

    facts: tuple[Fact, ...]
    words: tuple[str, ...]
    kinds: tuple[str, ...]
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DayPack:
    """Everything printed for one session.

    `changed_since` says who is affected by what changed after publishing; empty
    while the pack is what people were told.
    """

    title: str
    site: str
    foot: str
    subject: str
    briefing: Briefing
    map_title: str
    site_drawing: Drawing
    roster: RosterTable
    task_sheets: tuple[TaskSheet, ...]
    setting_out: tuple[SettingOutSheet, ...]
    sign_in: SignInSheet
    kit: KitList
    close_out: CloseOutSheet | None
    near_miss: NearMissForm
    changed_since: tuple[str, ...] = ()
    language: str = "en"
