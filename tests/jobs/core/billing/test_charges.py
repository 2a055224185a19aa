"""What is charged. The rule is the garage's own (common practice, no source); the sums are worked out by hand."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garage.core.errors import BadInput
from jobs.core.billing.charges import Part, Stretch, Work, charges, covered_minutes, labour_minutes
from jobs.core.labour import Spell

NINE = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)
LABOUR = "labour by the clock, in tenths of an hour, rounded down"


def at(minute):
    return NINE + timedelta(minutes=minute)


def spell(begins, ends, by="jo"):
    return Spell(by, at(begins), at(ends))


def stretch(begins, ends):
    return Stretch(at(begins), at(ends))


def work(**given):
    values = {
        "kind": "Set-up",
        "at": "roller",
        "booked_minutes": 90,
        "price": Decimal("120.00"),
        "was_held": True,
        "labour": (),
        "in_price": (),
        "labour_per_hour": Decimal("45.00"),
        "parts": (),
    }
    return Work(**values | given)


def lines(**given):
    return [(c.line.words, c.line.quantity, c.unit, c.line.gross) for c in charges(work(**given))]


def test_a_roller_session_costs_its_booked_price():
    assert lines() == [("Set-up, 90 minutes on the rollers", Decimal(1), "", Decimal("120.00"))]


def test_a_session_that_did_not_take_place_costs_nothing():
    assert lines(was_held=False) == []


def test_gate_and_roller_time_is_in_the_price_whoever_did_the_work():
    found = lines(labour=(spell(0, 120), spell(0, 120, by="al")), in_price=(stretch(0, 10), stretch(10, 120)))
    assert len(found) == 1


def test_bench_labour_of_a_roller_visit_is_charged_in_whole_tenths_of_an_hour():
    # 55 min outside the rollers: 9 whole tenths, 0.9 h × £45 = £40.50
    found = lines(labour=(spell(0, 145),), in_price=(stretch(55, 145),))
    assert found[1] == (
        f"Bench {LABOUR}",
        Decimal("0.90"),
        "h",
        Decimal("40.50"),
    )


@pytest.mark.parametrize(("rounding", "hours", "said"), [("nearest", "0.90", "to the nearest"), ("up", "1.00", "up")])
def test_the_line_says_how_the_shop_rounds_labour(rounding, hours, said):
    # 55 min: 9 tenths and a minute
    found = lines(labour=(spell(0, 145),), in_price=(stretch(55, 145),), rounding=rounding)
    assert found[1][:2] == (f"Bench labour by the clock, in tenths of an hour, rounded {said}", Decimal(hours))


def test_less_than_a_tenth_is_not_charged():
    assert len(lines(labour=(spell(0, 5),))) == 1


def test_a_bench_visit_covers_its_booked_minutes_of_labour():
    bench = {"kind": "Bench check", "at": "bench", "booked_minutes": 60, "price": Decimal("50.00")}
    assert len(lines(labour=(spell(0, 60),), **bench)) == 1
    # 96 min: 36 beyond, 0.6 h × £45 = £27
    assert lines(labour=(spell(0, 96),), **bench) == [
        ("Bench check, up to 60 minutes of bench labour", Decimal(1), "", Decimal("50.00")),
        (
            f"Further bench {LABOUR}",
            Decimal("0.60"),
            "h",
            Decimal("27.00"),
        ),
    ]


def test_parts_come_last_at_their_price():
    part = Part("Packer", Decimal("2"), Decimal("3.80"))
    assert lines(parts=(part,))[-1] == ("Packer", Decimal("2"), "", Decimal("7.60"))


def test_a_clock_that_still_runs_is_refused():
    with pytest.raises(BadInput, match=r"^labour is missing; allowed is clocks that are all stopped\.$"):
        charges(work(labour=(Spell("jo", at(0), None),)))


def test_each_line_is_of_its_kind_and_has_the_rate_of_the_shop():
    part = Part("Packer", Decimal("2"), Decimal("3.80"))
    roller = work(labour=(spell(0, 60),), parts=(part,), vat_percent=Decimal(0))
    bench = work(kind="Bench check", at="bench", labour=(spell(0, 160),), parts=(part,))
    assert [(c.line.kind, c.line.price_each, c.line.vat_percent) for c in charges(roller)] == [
        ("roller", Decimal("120.00"), 0),
        ("labour", Decimal("45.00"), 0),
        ("part", Decimal("3.80"), 0),
    ]
    assert [(c.line.kind, c.line.vat_percent) for c in charges(bench)] == [("labour", 20), ("labour", 20), ("part", 20)]


def test_a_bench_visit_is_charged_its_price_whether_or_not_a_session_was_held():
    bench = lines(kind="Bench check", at="bench", booked_minutes=60, was_held=False)
    assert bench == [("Bench check, up to 60 minutes of bench labour", Decimal(1), "", Decimal("120.00"))]


def test_the_rollers_cover_no_bench_labour_and_the_bench_its_booked_minutes():
    assert (covered_minutes(work()), covered_minutes(work(at="bench"))) == (0, 90)


def test_no_clock_is_no_labour():
    assert labour_minutes([], [stretch(0, 30)]) == 0
    assert labour_minutes([spell(0, 30)], [stretch(0, 30)]) == 0


def test_two_people_at_once_are_two_lots_of_labour():
    assert labour_minutes([spell(0, 30), spell(0, 30, by="al")], []) == 60


@given(
    clocks=st.lists(st.tuples(st.integers(0, 200), st.integers(0, 60), st.sampled_from("ja")), max_size=5),
    covered=st.lists(st.tuples(st.integers(0, 200), st.integers(0, 60)), max_size=4),
)
def test_minutes_outside_agree_with_counting_every_minute(clocks, covered):
    """A slow plain twin: a minute of a person counts if a clock of theirs holds it and no covered stretch does."""
    counted = {(by, minute) for begin, length, by in clocks for minute in range(begin, begin + length)} - {
        (by, minute) for by in "ja" for begin, length in covered for minute in range(begin, begin + length)
    }
    found = labour_minutes(
        [spell(begin, begin + length, by) for begin, length, by in clocks],
        [stretch(begin, begin + length) for begin, length in covered],
    )
    assert found == len(counted)


def test_labour_that_an_estimate_charges_is_not_charged_by_the_clock_too():
    worked = {"was_held": False, "labour": (spell(0, 120),)}
    assert [(words, hours) for words, hours, *_ in lines(**worked)] == [(f"Bench {LABOUR}", Decimal("2.0"))]
    beyond = lines(**worked, estimated_minutes=90)
    assert [(words, hours) for words, hours, *_ in beyond] == [(f"Further bench {LABOUR}", Decimal("0.5"))]
    assert lines(**worked, estimated_minutes=120) == []
