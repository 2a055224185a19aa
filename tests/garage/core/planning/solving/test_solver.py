"""The solver's set-up on a known instance, and what it says where there is no answer or no time."""

from __future__ import annotations

from collections import defaultdict

import pytest

from garage.core.planning.solving.solver import Solved, SolverModel, SolverOutcome, no

# Fisher and Thompson 1963, 6 jobs on 6 machines: pairs of machine and time, a job a line. The best ends at 55.
FT06 = """
2 1  0 3  1 6  3 7  5 3  4 6
1 8  2 5  4 10  5 10  0 10  3 4
2 5  3 4  5 8  0 9  1 1  4 7
1 5  0 5  2 5  3 3  4 8  5 9
2 9  1 3  4 5  5 4  0 3  3 1
1 3  3 3  5 9  0 10  4 4  2 1
"""


def solved(model: SolverModel, terms: list[tuple[int, int]], work_s: float = 5.0, **hint: int) -> Solved:
    return model.minimised(terms, {}, work_s=work_s, wall_s=60.0)


def ft06() -> tuple[SolverModel, int]:
    model, machines = SolverModel(), defaultdict(list)
    end = model.number([(0, 197)])
    for line in FT06.split("\n")[1:-1]:
        numbers, at, before = [int(text) for text in line.split()], None, 0
        for machine, minutes in zip(numbers[::2], numbers[1::2], strict=True):
            begin = model.number([(0, 197)])
            machines[machine].append(model.stretch(begin, minutes))
            if at is not None:
                model.sum_within([(1, begin), (-1, at)], [(before, 197)])
            at, before = begin, minutes
        model.sum_within([(1, end), (-1, at)], [(before, 197)])
    for stretches in machines.values():
        model.apart(stretches)
    return model, end


def test_the_best_end_of_a_known_workshop_is_found_and_proved_and_twice_in_the_same_way():
    (model, end), (again, same_end) = ft06(), ft06()
    first, second = solved(model, [(1, end)]), solved(again, [(1, same_end)])
    assert (first.outcome, first.value, first.bound) == (SolverOutcome.BEST, 55, 55)
    assert (first.values, first.work_s) == (second.values, second.work_s)


def test_what_cannot_be_is_proved_to_be_impossible():
    model = SolverModel()
    begins = [model.number([(0, 3)]) for _ in range(2)]
    model.apart([model.stretch(begin, 4) for begin in begins])
    assert solved(model, [(1, begins[0])]).outcome is SolverOutcome.NONE


def test_without_any_work_nothing_is_proved():
    model, end = ft06()
    found = solved(model, [(1, end)], work_s=0.0)
    assert found.outcome in (SolverOutcome.FOUND, SolverOutcome.UNKNOWN)


@pytest.mark.parametrize(("most", "ends"), [(1, 12), (2, 8), (3, 4)])
def test_no_more_stretches_than_allowed_run_at_once(most, ends):
    model = SolverModel()
    begins, last = [model.number([(0, 20)]) for _ in range(3)], model.number([(0, 24)])
    model.at_most(most, [model.stretch(begin, 4) for begin in begins])
    for begin in begins:
        model.sum_within([(1, last), (-1, begin)], [(4, 24)])
    assert solved(model, [(1, last)]).value == ends


def test_a_stretch_counts_and_a_sum_holds_only_where_its_flag_is_set():
    model = SolverModel()
    begin, either, other = model.number([(0, 1), (5, 9)]), model.flag(), model.flag()
    model.exactly_one_of([either, other])
    model.any_of([no(either), other])
    model.apart([model.stretch(begin, 2), model.fixed_stretch(0, 6, either), model.fixed_stretch(0, 3, other)])
    model.sum_within([(1, begin)], [(0, 0)], [either])
    found = solved(model, [(1, begin)])
    assert [found.values[one] for one in (begin, either, other)] == [5, 0, 1]
