from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.changes import packers
from garage.changes.shop.packer_stock import PackersMoved
from garage.core.errors import Refused
from garage.models.packers import PackerStock
from jobs.changes import packers_on_card
from jobs.models.cards import CardLine
from tests.factories import garage, jobs
from tests.factories.diagnostics import gate_over
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db
HALF = Decimal("0.50")


@pytest.fixture
def card():
    return jobs.card()


def lines(card):
    return [(line.what, line.words, line.quantity, line.struck_at is not None) for line in card.lines.all()]


def test_packers_with_a_price_are_a_part_and_without_one_work_done(card):
    packers_out = [PackersMoved(HALF, 2, Decimal("1.20")), PackersMoved(Decimal("0.10"), 1, None)]
    packers_on_card.write(card.visit, packers=packers_out, by=card.opened_by, now=timezone.now())
    assert lines(card) == [
        (CardLine.PART, "Packer 0.5 mm, under the stator plate", 2, False),
        (CardLine.WORK, "1 × Packer 0.1 mm, under the stator plate", None, False),
    ]


def test_only_the_newest_line_of_what_is_put_back_is_struck_out(card):
    for _ in range(2):
        packers_on_card.write(
            card.visit, packers=[PackersMoved(HALF, 1, Decimal("1.20"))], by=card.opened_by, now=timezone.now()
        )
    packers_on_card.strike(card.visit, packers=[PackersMoved(HALF, 1, None)], by=card.opened_by, now=timezone.now())
    assert [struck for *_, struck in lines(card)] == [False, True]


def test_a_line_struck_out_by_hand_is_not_in_the_way(card):
    packers_on_card.strike(card.visit, packers=[PackersMoved(HALF, 1, None)], by=card.opened_by, now=timezone.now())
    assert lines(card) == []


def test_a_closed_card_takes_no_packers_and_the_stock_stays():
    garage.shop()
    PackerStock.objects.create(thickness_mm=HALF, count=1)
    gate = gate_over(strobe_readings=[[1400, 14], [9000, 19.5]], strobe_verdict="advances", passed=False)
    jobs.closed_card(visit=gate.visit)
    with pytest.raises(Refused, match="is closed: what is on it stays"):
        packers.take(gate.visit, packers_mm=[HALF], by=gate.by, now=timezone.now())
    gate.refresh_from_db()
    assert (PackerStock.objects.get().count, gate.packers_mm) == (1, [])


def test_packers_are_written_and_struck_with_who_and_when(card):
    by, now = garage.person(), timezone.now()
    out = [PackersMoved(HALF, 2, Decimal("1.20")), PackersMoved(Decimal("0.10"), 1, None)]
    packers_on_card.write(card.visit, packers=out, by=by, now=now)
    words = "Packer 0.1 mm, under the stator plate"
    check_noted(f"wrote on the card: work done, 1 × {words}", by=by, at=now, visit=card.visit)
    assert {(line.by, line.at) for line in card.lines.all()} == {(by, now)}
    assert card.lines.get(what=CardLine.PART).price_each == Decimal("1.20")
    work, later = card.lines.get(what=CardLine.WORK), now + timedelta(minutes=1)
    packers_on_card.strike(card.visit, packers=[PackersMoved(Decimal("0.10"), 1, None)], by=by, now=later)
    check_noted(f"struck out on the card: 1 × {words}", by=by, at=later, visit=card.visit, line=work.pk)


def test_a_line_on_another_card_or_of_other_packers_is_not_struck_out(card):
    other, by, now = jobs.card(), card.opened_by, timezone.now()
    packers_on_card.write(other.visit, packers=[PackersMoved(HALF, 1, None)], by=by, now=now)
    packers_on_card.write(card.visit, packers=[PackersMoved(HALF, 2, None)], by=by, now=now)
    packers_on_card.strike(card.visit, packers=[PackersMoved(HALF, 1, None)], by=by, now=now)
    assert not CardLine.objects.exclude(struck_at=None).exists()
