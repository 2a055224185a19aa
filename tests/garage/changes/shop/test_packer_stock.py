from decimal import Decimal

import pytest
from django.utils import timezone

from garage import events
from garage.changes.shop import packer_stock
from garage.changes.shop.packer_stock import PackersMoved
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.packers import PackerStock
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
HALF, EIGHT_TENTHS = Decimal("0.5"), Decimal("0.8")


@pytest.fixture
def boss():
    make.shop()
    return make.boss()


@pytest.fixture
def stock(boss):
    for thickness_mm, count in ((HALF, 2), (EIGHT_TENTHS, 1)):
        packer_stock.add(thickness_mm=thickness_mm, count=count, price_each=None, by=boss, now=timezone.now())


def counts():
    return dict(PackerStock.objects.values_list("thickness_mm", "count"))


def test_one_thickness_has_one_row_however_it_is_typed(boss, stock):
    with pytest.raises(BadInput, match="not on the list yet"):
        packer_stock.add(thickness_mm=Decimal("0.50"), count=1, price_each=None, by=boss, now=timezone.now())
    assert counts() == {HALF: 2, EIGHT_TENTHS: 1}


def test_a_stack_is_taken_as_a_whole_and_put_back(boss, stock):
    visit = make.visit(state=states.HERE)
    packer_stock.take_out(visit, packers_mm=[EIGHT_TENTHS, HALF, HALF], by=boss, now=timezone.now())
    assert counts() == {HALF: 0, EIGHT_TENTHS: 0}
    assert TrailRow.objects.filter(visit=visit, did="took packers of 0.8, 0.5 and 0.5 mm from stock", by=boss).exists()
    packer_stock.put_back(visit, packers_mm=[EIGHT_TENTHS, HALF, HALF], by=boss, now=timezone.now())
    assert counts() == {HALF: 2, EIGHT_TENTHS: 1}


@pytest.mark.parametrize("wanted", [[EIGHT_TENTHS, EIGHT_TENTHS, HALF], [HALF, Decimal("0.3")]])
def test_a_stack_that_is_not_all_there_takes_nothing(boss, stock, wanted):
    with pytest.raises(Refused, match=r"left\): work the stack out again"):
        packer_stock.take_out(make.visit(state=states.HERE), packers_mm=wanted, by=boss, now=timezone.now())
    assert counts() == {HALF: 2, EIGHT_TENTHS: 1}


def test_a_thickness_off_the_list_comes_back_to_it(boss, stock):
    visit = make.visit(state=states.HERE)
    packer_stock.take_out(visit, packers_mm=[EIGHT_TENTHS], by=boss, now=timezone.now())
    packer_stock.remove(PackerStock.objects.get(thickness_mm=EIGHT_TENTHS), by=boss, now=timezone.now())
    packer_stock.put_back(visit, packers_mm=[EIGHT_TENTHS], by=boss, now=timezone.now())
    assert counts() == {HALF: 2, EIGHT_TENTHS: 1}


def test_a_recount_is_in_the_trail_once(boss, stock):
    row = PackerStock.objects.get(thickness_mm=HALF)
    packer_stock.alter(row, count=7, price_each=Decimal("1.20"), by=boss, now=timezone.now())
    packer_stock.alter(row, count=7, price_each=Decimal("1.20"), by=boss, now=timezone.now())
    (told,) = TrailRow.objects.filter(did="counted packers of 0.5 mm: 7")
    assert told.detail["changed"] == {"count": ["2", "7"], "price_each": ["None", "1.20"]}


def test_each_change_of_the_stock_is_noted(boss):
    now, kept = timezone.now(), {"by": boss, "about": "the shop"}
    row = packer_stock.add(thickness_mm=HALF, count=4, price_each=Decimal("1.20"), by=boss, now=now)
    check_noted("put 4 packers of 0.5 mm in stock", at=now, **kept)
    row.refresh_from_db()
    assert (row.thickness_mm, row.count, row.price_each) == (HALF, 4, Decimal("1.20"))
    packer_stock.alter(row, count=3, price_each=None, by=boss, now=now)
    changed = {"count": ["4", "3"], "price_each": ["1.20", "None"]}
    check_noted("counted packers of 0.5 mm: 3", at=now, changed=changed, **kept)
    packer_stock.remove(row, by=boss, now=now)
    check_noted("took packers of 0.5 mm off the list", at=now, **kept)
    assert not PackerStock.objects.exists()


def test_taking_out_and_putting_back_are_noted_and_told_to_the_rooms_above(boss, stock):
    PackerStock.objects.filter(thickness_mm=HALF).update(price_each=Decimal("1.20"))
    visit, now, heard = make.visit(state=states.HERE), timezone.now(), []

    def listen(sender, visit, packers, by, now, **_):
        heard.append((sender, visit, packers, by, now))

    signals = (events.packers_taken, events.packers_put_back)
    receivers = [(signal, signal.receivers) for signal in signals]
    try:
        for signal in signals:  # those of the rooms above have tests of their own
            signal.receivers = []
            signal.sender_receivers_cache.clear()
            signal.connect(listen)
        packer_stock.take_out(visit, packers_mm=[HALF, HALF], by=boss, now=now)
        check_noted("took packers of 0.5 and 0.5 mm from stock", by=boss, at=now, visit=visit)
        packer_stock.put_back(visit, packers_mm=[HALF], by=boss, now=now)
        check_noted("put packers of 0.5 mm back in stock", by=boss, at=now, visit=visit)
    finally:
        for signal, before in receivers:
            signal.receivers = before
            signal.sender_receivers_cache.clear()
    assert heard == [
        (Visit, visit, [PackersMoved(HALF, 2, Decimal("1.20"))], boss, now),
        (Visit, visit, [PackersMoved(HALF, 1, None)], boss, now),
    ]


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"thickness_mm": Decimal("0.01")}, "Thickness, mm is 0.01; allowed is 0.02 to 10."),
        ({"thickness_mm": Decimal("10.01")}, "Thickness, mm is 10.01; allowed is 0.02 to 10."),
        ({"thickness_mm": HALF}, "Thickness, mm is 0.5; allowed is one that is not on the list yet."),
        ({"count": -1}, "How many is -1; allowed is 0 to 99."),
        ({"count": 100}, "How many is 100; allowed is 0 to 99."),
        (
            {"price_each": Decimal(2**31)},
            "Price each, pounds is 2147483648; allowed is nothing to £999,999.99, or empty where they are not charged.",
        ),
        (
            {"price_each": Decimal("-0.01")},
            "Price each, pounds is -0.01; allowed is nothing to £999,999.99, or empty where they are not charged.",
        ),
    ],
)
def test_what_cannot_be_in_stock_is_refused(boss, stock, given, sentence):
    values = {"thickness_mm": Decimal("0.3"), "count": 1, "price_each": None} | given
    with refuses(sentence, BadInput):
        packer_stock.add(by=boss, now=timezone.now(), **values)


@pytest.mark.parametrize("thickness_mm", [Decimal("0.02"), Decimal(10)])
@pytest.mark.parametrize("count", [0, 99])
def test_the_edges_of_what_can_be_in_stock_are_allowed(boss, thickness_mm, count):
    row = packer_stock.add(thickness_mm=thickness_mm, count=count, price_each=Decimal(0), by=boss, now=timezone.now())
    packer_stock.alter(row, count=99 - count, price_each=None, by=boss, now=timezone.now())
    assert counts() == {thickness_mm: 99 - count}


def test_each_refusal_of_a_stack_says_what_is_left(boss, stock):
    visit, now = make.visit(state=states.HERE), timezone.now()
    for wanted, said in (
        ([EIGHT_TENTHS] * 2, "0.8 mm packers in stock (1 left)"),
        ([Decimal("0.3")], "0.3 mm packers in stock (0 left)"),
    ):
        with refuses(f"Not enough {said}: work the stack out again."):
            packer_stock.take_out(visit, packers_mm=wanted, by=boss, now=now)
    with refuses("The packers is missing; allowed is one at least.", BadInput):
        packer_stock.take_out(visit, packers_mm=[], by=boss, now=now)
    with pytest.raises(BadInput):
        packer_stock.alter(PackerStock.objects.first(), count=100, price_each=None, by=boss, now=now)
