"""The chain without a database: any change of a document, its place or its number is found."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.core.documents.chain import (
    FIRST,
    LINE_MAY_GO,
    LINE_STAYS,
    MAY_GO,
    STAYS,
    Disagreement,
    Frozen,
    faults,
    linked,
)

AT = datetime(2026, 3, 10, 12, tzinfo=UTC)


def columns(number, **given):
    invoice = dict.fromkeys((*STAYS, *MAY_GO), "") | {"number": number, "issued_on": date(2026, 3, 10), "issued_at": AT}
    invoice |= {"seller": {"name": "Quarry Lane"}, "vat_by_rate": [["20", "10.00", "2.00"]], "buyer": {"name": "Erin"}}
    return invoice | {"machine": "Corrick", "net": Decimal("10.00"), "gross": Decimal("12.00")} | given


def line(**given):
    return (
        dict.fromkeys((*LINE_STAYS, *LINE_MAY_GO), "") | {"index": 1, "gross": Decimal("12.00"), "words": "Jet"} | given
    )


def book(count=6):
    made, previous = [], FIRST
    for number in range(1, count + 1):
        invoice, lines = columns(number), [line(), line(index=2)]
        link = linked(invoice, lines, series="invoice", previous=previous, salt=f"{number:032x}")
        made.append(Frozen(number, invoice, lines, may_be_wordless=False, link=link))
        previous = link.value
    return made


def found(documents, last=6):
    return [(fault.kind, fault.first, fault.last) for fault in faults(documents, series="invoice", last=last)]


def with_values(document, **changed):
    return replace(document, invoice=document.invoice | changed)


def test_a_book_as_it_was_issued_has_no_fault():
    assert found(book()) == []
    assert found([], last=0) == []


@pytest.mark.parametrize("name", [*STAYS, *MAY_GO])
def test_an_edit_of_any_column_is_found(name):
    rows = book()
    rows[2] = with_values(rows[2], **{name: "something else"})
    assert found(rows) == [("changed", 3, 3)]


@pytest.mark.parametrize("name", [*LINE_STAYS, *LINE_MAY_GO])
def test_an_edit_of_any_column_of_a_line_is_found(name):
    rows = book()
    rows[2] = replace(rows[2], lines=[rows[2].lines[0], rows[2].lines[1] | {name: "something else"}])
    assert found(rows) == [("changed", 3, 3)]


def test_a_line_more_or_less_is_found():
    rows = book()
    rows[1] = replace(rows[1], lines=rows[1].lines[:1])
    rows[3] = replace(rows[3], lines=[*rows[3].lines, line(index=3)])
    assert found(rows) == [("changed", 2, 2), ("changed", 4, 4)]


def test_an_edit_with_a_new_link_of_its_own_breaks_the_next_one():
    rows = book()
    edited = columns(3, gross=Decimal("1.00"))
    link = linked(edited, rows[2].lines, series="invoice", previous=rows[1].link.value, salt="0" * 32)
    rows[2] = replace(rows[2], invoice=edited, link=link)
    assert found(rows) == [("out of place", 4, 4)]


def test_two_that_change_places_are_found_with_their_links_or_without():
    rows = book()
    third, fourth = (with_values(rows[place], number=number) for place, number in ((2, 4), (3, 3)))
    swapped = [*rows[:2], replace(fourth, number=3), replace(third, number=4), *rows[4:]]
    assert {number for _, number, _ in found(swapped)} >= {3, 4}
    apart = [*rows[:2], replace(rows[3], number=3), replace(rows[2], number=4), *rows[4:]]
    assert {kind for kind, _, _ in found(apart)} == {"out of place"}
    links = [*rows[:2], replace(rows[2], link=rows[3].link), replace(rows[3], link=rows[2].link), *rows[4:]]
    assert {("changed", 3, 3), ("changed", 4, 4)} <= set(found(links))


@pytest.mark.parametrize(("gone", "expected"), [([1], (2, 2)), ([0], (1, 1)), ([5], (6, 6)), ([2, 3, 4], (3, 5))])
def test_a_drop_is_found_at_the_start_within_and_at_the_end(gone, expected):
    rows = [row for place, row in enumerate(book()) if place not in gone]
    assert found(rows) == [("missing", *expected)]


def test_one_that_was_slipped_in_is_found():
    rows = book()
    extra = linked(columns(7), [line()], series="invoice", previous=rows[-1].link.value, salt="1" * 32)
    more = Frozen(7, columns(7), [line()], may_be_wordless=False, link=extra)
    assert found([*rows, more]) == [("too many", 7, 7)]
    assert found([*rows[:2], replace(rows[2], link=None), *rows[3:]]) == [("unlinked", 3, 3)]


def test_words_go_after_their_time_and_the_rest_is_still_looked_at():
    rows = book()
    bare = replace(rows[2], link=replace(rows[2].link, salt=""), may_be_wordless=True)
    bare = replace(bare, lines=[each | {"words": ""} for each in bare.lines])
    rows[2] = with_values(bare, buyer={}, machine="")
    assert found(rows) == []
    rows[2] = replace(rows[2], may_be_wordless=False)
    assert found(rows) == [("wordless", 3, 3)]
    rows[2] = with_values(replace(rows[2], may_be_wordless=True), gross=Decimal("1.00"))
    assert found(rows) == [("changed", 3, 3)]


def test_the_salt_hides_whom_it_was_written_to():
    first, second = (linked(columns(1), [], series="invoice", previous=FIRST, salt=salt) for salt in ("a", "b"))
    assert first.words_hash != second.words_hash


def test_a_value_is_the_same_whatever_the_database_makes_of_amounts_and_times():
    in_memory = columns(1, net=Decimal("10"), issued_at=AT.astimezone())
    one, two = (linked(each, [], series="invoice", previous=FIRST, salt="a") for each in (columns(1), in_memory))
    assert one == two


def test_faults_say_which():
    assert Disagreement("changed", 7, 7).words == "Document 7 is not what was issued."
    assert Disagreement("missing", 7, 9).words == "Documents 7 to 9 are missing."


@given(st.permutations(range(5)), st.integers(0, 5))
def test_any_order_but_the_issued_one_and_any_shorter_book_has_a_fault(order, kept):
    rows = book(5)
    mixed = [replace(rows[place], number=number) for number, place in enumerate(order, start=1)][:kept]
    whole = list(order) == list(range(5)) and kept == 5
    assert bool(found(mixed, last=5)) is not whole
