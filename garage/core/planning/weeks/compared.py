"""The practices on the same drawn weeks, and the table that compares them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from garage.core.planning.weeks.drawn_weeks import DrawnDay, Workshop, drawn_week
from garage.core.planning.weeks.practices import Policy, Practice, run_under
from garage.core.planning.weeks.week_intervals import (
    WeeklyInterval,
    after_closing_a_day,
    kept_difference,
    kept_share,
    lost_a_day,
    pounds_a_day,
    useful_a_day,
    useful_ratio,
)
from garage.core.planning.weeks.week_measures import WeekFigures, week_figures

# All work of a day as a share of the rollers' minutes, and how that is said.
KINDS_OF_DAYS = {
    1.33: "Days with waiting work: all of it is 1.33 times the rollers' minutes.",
    1.0: "Days just full: all work is as much as the rollers' minutes.",
}
SHORTEST_COLUMN = 13
HEADS = ("useful min", "lost min", "after closing", "worth, pounds", "kept, %")


@dataclass(frozen=True, slots=True)
class PracticeRow:
    """A row of the table: its words and what is done."""

    words: str
    practice: Practice
    policy: Policy


@dataclass(frozen=True, slots=True)
class Comparison:
    """work: all of a day's work as a share of the rollers' minutes. weeks: by row, the same weeks for each."""

    work: float
    weeks: Mapping[PracticeRow, Sequence[WeekFigures]]


def rows_with(policies: Mapping[str, Policy]) -> tuple[PracticeRow, ...]:
    """The planner by each policy, between the plain practices and the one that knows the future."""
    no_matter = Policy()
    return (
        *(PracticeRow(one.value, one, no_matter) for one in (Practice.AS_BOOKED, Practice.EARLIEST_FIT)),
        *(PracticeRow(words, Practice.PLANNED, policy) for words, policy in policies.items()),
        PracticeRow(Practice.FORESEEN.value, Practice.FORESEEN, no_matter),
    )


def compared(
    seed: int, policies: Mapping[str, Policy], weeks: Sequence[int], workshop: Workshop | None = None
) -> tuple[Comparison, ...]:
    """Each kind of days, with these weeks of the seed. The same arguments give the same figures."""
    rows = rows_with(policies)
    return tuple(
        Comparison(work, {row: [_week(row, drawn) for drawn in drawn_weeks] for row in rows})
        for work in KINDS_OF_DAYS
        for drawn_weeks in [[drawn_week(replace(workshop or Workshop(), work=work), seed, week) for week in weeks]]
    )


def _week(row: PracticeRow, days: Sequence[DrawnDay]) -> WeekFigures:
    return week_figures([run_under(row.practice, day, row.policy) for day in days])


def joined(some: Sequence[Comparison], more: Sequence[Comparison]) -> tuple[Comparison, ...]:
    """The same comparison with more weeks."""
    return tuple(
        Comparison(one.work, {row: [*weeks, *other.weeks[row]] for row, weeks in one.weeks.items()})
        for one, other in zip(some, more, strict=True)
    )


def table(comparison: Comparison) -> list[str]:
    """Lines of plain text: a row a practice, then what the planner is beside the others, week by week."""
    weeks = comparison.weeks
    first = max(len(row.words) for row in weeks)
    lines = [_line("practice", HEADS, first), *(_line(row.words, _figures(weeks[row]), first) for row in weeks)]
    return [KINDS_OF_DAYS[comparison.work], "", *lines, "", *_beside(weeks)]


def _figures(weeks: Sequence[WeekFigures]) -> tuple[str, ...]:
    return (
        _said(useful_a_day(weeks), 1),
        _said(lost_a_day(weeks), 1),
        _said(after_closing_a_day(weeks), 1),
        _said(pounds_a_day(weeks), 0),
        _said(_percent(kept_share(weeks)), 1),
    )


def _beside(weeks: Mapping[PracticeRow, Sequence[WeekFigures]]) -> Iterator[str]:
    for ours in weeks:
        if ours.practice is not Practice.PLANNED:
            continue
        for other in weeks:
            if other.practice is not Practice.PLANNED:
                ratio = _said(_percent(useful_ratio(weeks[ours], weeks[other])), 1)
                kept = _said(_percent(kept_difference(weeks[ours], weeks[other])), 1, sign="+")
                yield f"{ours.words} beside {other.words}: {ratio} % of its useful minutes; kept {kept} points"


def _line(words: str, cells: Sequence[str], first: int) -> str:
    return words.ljust(first) + "".join(cell.rjust(SHORTEST_COLUMN + 3) for cell in cells)


def _percent(found: WeeklyInterval) -> WeeklyInterval:
    return WeeklyInterval(100 * found.value, 100 * found.half)


def _said(found: WeeklyInterval, digits: int, sign: str = "") -> str:
    """As in 372.1 ± 4.0: half of the 95 % interval behind it."""
    return f"{found.value:{sign}.{digits}f} ± {found.half:.{digits}f}"
