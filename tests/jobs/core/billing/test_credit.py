"""What a credit note takes off."""

from __future__ import annotations

from decimal import Decimal

import pytest

from garage.core.money import net_in
from jobs.core.billing.credit import taken_off


def parts_of(amounts, percent):
    before, notes = Decimal(0), []
    for amount in amounts:
        notes.append(taken_off("given back", Decimal(amount), before=before, percent=percent))
        before += Decimal(amount)
    return notes


@pytest.mark.parametrize("amounts", [["30.00"], ["10.01", "19.99"], ["0.01", "0.02", "29.97"], ["9.99"] * 3 + ["0.03"]])
@pytest.mark.parametrize("percent", [Decimal(20), Decimal("17.5"), Decimal(5)])
def test_parts_that_make_up_all_of_a_paper_come_to_its_own_net_and_vat(amounts, percent):
    notes, whole = parts_of(amounts, percent), Decimal("30.00")
    net = net_in(whole, percent)
    assert sum(note.net for note in notes) == -net
    assert sum(note.vat for note in notes) == net - whole
    assert all(note.net + note.vat == note.gross for note in notes)
    assert all((rate.net, rate.vat) == (note.net, note.vat) for note in notes for rate in note.by_rate)


def test_a_paper_without_vat_has_none_taken_off():
    (note,) = parts_of(["12.00"], None)
    assert (note.net, note.vat, note.gross, note.by_rate) == (Decimal("-12.00"), 0, Decimal("-12.00"), ())
