from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.shop import packer_stock
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.packers import PackerStock
from garage.models.trail import TrailRow
from tests.factories import garage as make

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
