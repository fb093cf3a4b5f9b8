"""What a judge of documents found, and how a stated figure compares with a counted one."""

from dataclasses import dataclass

Figures = tuple[tuple[str, int], ...]


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
    `claims` are sentences on what the answer says of itself and cannot be so;
    they are no broken rule.
    """

    broken: tuple[Broken, ...]
    counted: Figures
    stated: Figures
    claims: tuple[str, ...] = ()

    @property
    def is_stated_right(self) -> bool:
        """Whether the answer's own objective is what the judge counts."""
        return self.counted == self.stated


def list_false_claims(
    counted: Figures, bound: Figures, *, least: tuple[str, ...] = (), is_best: bool
) -> tuple[str, ...]:
    """Return a sentence for each bound that the answer itself contradicts.

    Args:
        counted: The objective as the judge counts it.
        bound: What the answer says no answer is better than.
        least: The figures of which less is better.
        is_best: Whether the answer says that it is proven best.
    """
    stated = dict(bound)
    found = []
    for figure, value in counted:
        if figure not in stated:
            continue
        off = value - stated[figure] if figure in least else stated[figure] - value
        if off < 0:
            found.append(f"{figure} is {value}, better than the stated bound {stated[figure]}.")
        elif off > 0 and is_best:
            found.append(f"{figure} is {value}, its bound {stated[figure]}: not proven best.")
    return tuple(found)
