"""What a judge of documents found, and how a stated figure compares with a counted one."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Broken:
    """One rule of a format that an answer breaks.

    `rule` is a fixed word for the sentence of the format, such as "lead".
    """

    rule: str
    text: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a judge says of an answer.

    `counted` and `stated` hold the objective, figure by figure, as the judge
    counts it and as the answer says; `stated` is empty where it says nothing.
    """

    broken: tuple[Broken, ...]
    counted: tuple[tuple[str, int], ...]
    stated: tuple[tuple[str, int], ...]

    @property
    def is_stated_right(self) -> bool:
        """Whether the answer's own objective is what the judge counts."""
        return self.counted == self.stated
