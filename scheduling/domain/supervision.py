"""Who supervises whom, and how many adults each adopted table of ratios asks for.

Rules, sign-up and the liaison's check all use it; the sums are in `ratios`. Not
for judging rosters: `verify` does that.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from scheduling.domain.first_aid import first_aiders_here
from scheduling.domain.people import ADULT_AGE
from scheduling.domain.policy import SupervisionTable
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.ratios import adults_by_ratio, sum_of_shares
from scheduling.domain.rule_set import Combining, RatioBand
from scheduling.domain.wording import list_words


def is_supervised_age(table: SupervisionTable, age: int, *, pupil: bool) -> bool:
    """Say whether someone of this age is counted as a young person.

    Args:
        table: The declared table.
        age: Completed years on the day.
        pupil: Whether they come as a pupil of a class.

    Returns:
        True under 18, and for pupils up to the oldest age the table names.

    Source:
        NSPCC Learning, Recommended adult to child ratios for working with
        children, September 2023: 18 is in the last band and is also the age of
        a counted adult; a pupil of 18 is supervised, a volunteer of 18 is not.
    """
    oldest = table.bands[-1].oldest if table.bands else 0
    return age < ADULT_AGE or (pupil and age <= oldest)


def needs_supervision(problem: RosterProblem, person: Person) -> bool:
    """Say whether any adopted table counts the person among the young people of the day."""
    pupil = person.group is not None
    return any(is_supervised_age(table, person.age, pupil=pupil) for table in problem.policy.tables)


# --- who counts ------------------------------------------------------------


def why_not_supervising(
    problem: RosterProblem, person: Person, table: SupervisionTable, round_: int | None = None
) -> str:
    """Return why someone does not count as a supervising adult, or "" for one who does.

    Args:
        problem: The day.
        person: Who is asked about.
        table: Whose age of a counted adult holds.
        round_: The round, for the first aider; None leaves first aid aside.

    Returns:
        A few words for the end of a sentence: "no background check in date".

    Source:
        NSPCC Learning, September 2023: under 18s and parents who are not
        recruited, checked and trained do not count. The only first aider, who
        would have to leave the young people to help: common practice, no source.
    """
    if needs_supervision(problem, person):
        return f"is {person.age} and among those supervised"
    if person.age < table.adult_from:
        return f"is {person.age}; {table.name} counts adults of {table.adult_from} or over"
    if not person.checked:
        return "no background check in date"
    if round_ is not None and not problem.policy.first_aider_counts:
        aiders = first_aiders_here(problem, round_)
        if len(aiders) == 1 and aiders[0].id == person.id:
            return "the only first aider there, who may have to leave the others to help"
    return ""


def supervises(
    problem: RosterProblem, person: Person, table: SupervisionTable | None = None
) -> bool:
    """Say whether the person counts as a supervising adult, first aid left aside.

    Of the age the table asks for (the leading table unless one is named), with
    a background check in date, and not themselves one of those supervised.
    Guardians count only when checked.
    """
    return not why_not_supervising(problem, person, table or problem.policy.supervision)


def supervising_in(
    problem: RosterProblem, table: SupervisionTable, round_: int
) -> tuple[Person, ...]:
    """Return those who count by a table and are there in a round."""
    return tuple(
        person
        for person in problem.people
        if person.present[round_] and not why_not_supervising(problem, person, table, round_)
    )


Supply = tuple[tuple[int, ...], tuple[Person, ...]]  # rounds, and who counts in them


def supply_by_rounds(problem: RosterProblem, table: SupervisionTable) -> tuple[Supply, ...]:
    """Return who counts by a table, rounds with the same answer together.

    Who is not there in a round is of no consequence there and does not part it
    from the others.
    """
    everyone = tuple(person for person in problem.people if supervises(problem, person, table))
    by_left_out: dict[tuple[Person, ...], list[int]] = {}
    for round_ in range(problem.rounds):
        left_out = tuple(
            person
            for person in everyone
            if person.present[round_] and why_not_supervising(problem, person, table, round_)
        )
        by_left_out.setdefault(left_out, []).append(round_)
    return tuple(
        (tuple(rounds), tuple(person for person in everyone if person not in left_out))
        for left_out, rounds in by_left_out.items()
    )


def name_supply(problem: RosterProblem, table: SupervisionTable, adults: Sequence[Person]) -> str:
    """Return the names of those who count, and of the only first aider who does not.

    Args:
        problem: The day.
        table: Whose age of a counted adult holds.
        adults: Those who count in the rounds spoken of.
    """
    names = list_words([person.name for person in adults])
    kept = [p.name for p in problem.people if supervises(problem, p, table) and p not in adults]
    return f"{names}; not {list_words(kept)}, the only first aider there" if kept else names


# --- how many are asked for ------------------------------------------------


def bands_there(table: SupervisionTable, ages: Iterable[int]) -> tuple[tuple[RatioBand, int], ...]:
    """Return each band that any of the ages fall under, with how many do, youngest first."""
    counts: dict[RatioBand, int] = {}
    for age in ages:
        band = table.band_of(age)
        if band is not None:
            counts[band] = counts.get(band, 0) + 1
    return tuple((band, counts[band]) for band in table.bands if band in counts)


def _ratios(table: SupervisionTable, ages: Iterable[int]) -> list[tuple[int, int]]:
    return [(count, band.per_adult) for band, count in bands_there(table, ages)]


def supervision_load(table: SupervisionTable, ages: Iterable[int]) -> Fraction:
    """Return the adults that these ages ask for together, not rounded.

    Args:
        table: The declared table.
        ages: Completed years of every young person.

    Returns:
        The sum of one over the ratio of each, an exact fraction of adults.
    """
    return sum_of_shares(_ratios(table, ages))


def adults_by(combining: Combining, table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the adults that the ratios alone ask for, in one way of combining ages.

    Args:
        combining: The way; common practice, no source.
        table: The declared table; its ratios only.
        ages: Completed years of every young person.
    """
    return adults_by_ratio(combining, _ratios(table, ages))


def adults_by_sum(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the adults needed when shares are added first and rounded up once."""
    return adults_by(Combining.SUM, table, ages)


def adults_by_youngest(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the adults needed when the youngest one's ratio governs all."""
    return adults_by(Combining.YOUNGEST, table, ages)


def adults_by_band(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the adults needed when each age band is rounded up on its own."""
    return adults_by(Combining.SECTIONS, table, ages)


def adults_added(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the leaders a table adds after the ratio, its bands' own included."""
    there = bands_there(table, ages)
    return table.plus_leaders + sum(band.plus_leaders for band, _ in there) if there else 0


def floor_of(table: SupervisionTable, ages: Iterable[int]) -> int:
    """Return the fewest adults a table asks for wherever any of these ages are."""
    there = bands_there(table, ages)
    return max([table.least_adults, *(band.least_adults for band, _ in there)]) if there else 0


def adults_required(table: SupervisionTable, ages: Sequence[int], *, leads: int = 0) -> int:
    """Return the adults a table asks for, in its own way of combining ages.

    Args:
        table: The declared table.
        ages: Completed years of every young person.
        leads: Adults the site adds who are in charge and supervise nobody.

    Returns:
        Ratio, leaders added, never under the floor; 0 when the table speaks of
        none of these ages.
    """
    if not bands_there(table, ages):
        return 0
    by_ratio = adults_by(table.combining, table, ages)
    return max(floor_of(table, ages), by_ratio + adults_added(table, ages) + leads)


def show_shares(table: SupervisionTable, ages: Sequence[int]) -> str:
    """Return the ratio's arithmetic in the table's own way, with every step.

    Returns:
        "7/6 + 9/8 + 12/10 = 3.49, rounded up 4", "28 in all at the youngest
        one's 1 to 6: 28/6 = 4.67, rounded up 5", "7/6 → 2, 9/8 → 2: 4".
    """
    return show_ratio(table.combining, table, ages)


def show_ratio(combining: Combining, table: SupervisionTable, ages: Sequence[int]) -> str:
    """Return the ratio's arithmetic in a given way of combining; see `show_shares`."""
    there = [(n, ratio) for n, ratio in _ratios(table, ages) if ratio]
    answer = adults_by(combining, table, ages)
    if not there:
        return "the table names no ratio for these ages"
    if combining is Combining.SUM:
        terms = " + ".join(f"{n}/{ratio}" for n, ratio in there)
        return f"{terms} = {_decimal(sum_of_shares(there))}, rounded up {answer}"
    if combining is Combining.SECTIONS:
        parts = ", ".join(f"{n}/{ratio} → {-(-n // ratio)}" for n, ratio in there)
        return f"{parts}: {answer}"
    everyone = sum(count for _, count in bands_there(table, ages))
    ratio = min(ratio for _, ratio in there)
    share = Fraction(everyone, ratio)
    return (
        f"{everyone} in all at the youngest one's 1 to {ratio}: {everyone}/{ratio} = "
        f"{_decimal(share)}, rounded up {answer}"
    )


def show_required(table: SupervisionTable, ages: Sequence[int], *, leads: int = 0) -> str:
    """Return how a table comes to its number, step by step.

    Returns:
        "7/6 + 9/8 + 12/10 = 3.49, rounded up 4; plus 1 leader; floor 2 → 5".
    """
    added = adults_added(table, ages)
    steps = [show_shares(table, ages)]
    if added:
        steps.append(f"plus {added} leader{'s' * (added > 1)} in charge")
    if leads:
        steps.append(f"plus {leads} lead{'s' * (leads > 1)} with no crew to watch")
    floor = floor_of(table, ages)
    if floor:
        steps.append(f"floor {floor}")
    return f"{'; '.join(steps)} → {adults_required(table, ages, leads=leads)}"


def _decimal(value: Fraction) -> str:
    """Return a fraction with at most two decimals, never rounded onto a whole number it is not."""
    hundredths = value * 100
    if hundredths.denominator == 1:
        return f"{float(value):g}"
    shown = f"{float(value):.2f}"
    return str(value) if shown.endswith(".00") else shown
