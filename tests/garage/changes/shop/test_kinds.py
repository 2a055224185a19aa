from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.shop import kinds
from garage.core.errors import BadInput
from garage.models.owners import MachineKind
from garage.models.shop import VisitKind
from garage.models.trail import TrailRow
from tests.factories import garage as make

pytestmark = pytest.mark.django_db

POWER_RUN = {
    "name": "Power run",
    "goes_home_with": "Its curve on paper.",
    "booked_as": "power-run",
    "at": "roller",
    "minutes": 45,
    "price": Decimal("60.00"),
    "deposit": Decimal("0"),
    "order": 2,
    "is_offered": True,
}
CORRICK = {
    "make": "Corrick",
    "model": "185",
    "first_year": 1975,
    "last_year": 1981,
    "fires_per_turn": 1.0,
    "gearbox": "geared",
    "ignition": "electronic",
    "fed_by": "magneto",
    "stroke_mm": Decimal("57"),
    "rod_mm": Decimal("110"),
    "flywheel_mm": None,
    "spec_btdc": Decimal("17"),
    "spec_curve": "fixed",
    "curve_deg": None,
    "design_rpm": 9000,
}


@pytest.fixture
def boss():
    make.shop()
    return make.boss()


def test_a_visit_kind_is_added_with_a_name_for_its_address(boss):
    assert kinds.add_visit_kind(by=boss, now=timezone.now(), **POWER_RUN).slug == "power-run"
    with pytest.raises(BadInput, match="Name"):
        kinds.add_visit_kind(by=boss, now=timezone.now(), **POWER_RUN | {"name": "power  run"})


def test_a_visit_kinds_new_price_leaves_booked_visits_alone(boss):
    row = kinds.add_visit_kind(by=boss, now=timezone.now(), **POWER_RUN)
    visit = make.visit(kind=row, price=row.price)
    kinds.change_visit_kind(row, by=boss, now=timezone.now(), **POWER_RUN | {"price": Decimal("66.00")})
    visit.refresh_from_db()
    assert visit.price == Decimal("60.00")
    assert VisitKind.objects.get().price == Decimal("66.00")
    assert TrailRow.objects.first().detail == {"changed": {"price": ["60.00", "66.00"]}}


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"minutes": 0}, "Minutes"),
        ({"minutes": 42}, "Minutes"),
        ({"deposit": Decimal("60.01")}, "Deposit"),
        ({"deposit": Decimal("-1")}, "Deposit"),
        ({"at": "bench"}, "Where"),
    ],
)
def test_an_invalid_visit_kind_is_refused_naming_its_field(boss, wrong, where):
    row = kinds.add_visit_kind(by=boss, now=timezone.now(), **POWER_RUN)
    for change in (kinds.add_visit_kind, lambda **values: kinds.change_visit_kind(row, **values)):
        with pytest.raises(BadInput) as caught:
            change(by=boss, **POWER_RUN | {"name": "Another"} | wrong, now=timezone.now())
        assert caught.value.where == where
    assert VisitKind.objects.count() == 1


@pytest.mark.parametrize("name", ["Look", "hold", "???"])
def test_a_visit_kind_takes_no_name_whose_address_is_taken_by_a_booking_page(boss, name):
    with pytest.raises(BadInput) as caught:
        kinds.add_visit_kind(by=boss, now=timezone.now(), **POWER_RUN | {"name": name})
    assert caught.value.where == "Name"


def test_a_machine_kind_is_added_and_changed_with_trail(boss):
    row = kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK)
    kinds.change_machine_kind(row, by=boss, now=timezone.now(), **CORRICK | {"design_rpm": 9200})
    assert MachineKind.objects.get().design_rpm == 9200
    assert TrailRow.objects.count() == 2


def test_one_machine_kind_cannot_exist_twice_in_different_capitals(boss):
    kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK)
    with pytest.raises(BadInput, match="Model"):
        kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK | {"make": "CORRICK"})
    kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK | {"first_year": 1982, "last_year": None})


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"last_year": 1970}, "Last year"),
        ({"stroke_mm": Decimal("5")}, "Stroke, mm"),
        ({"rod_mm": Decimal("28.5")}, "Rod, mm"),
        ({"design_rpm": 90000}, "Revs on the stand"),
        ({"spec_btdc": Decimal("75")}, "Static timing, degrees BTDC"),
        ({"curve_deg": Decimal("60")}, "Change from tickover to peak, degrees"),
        ({"flywheel_mm": Decimal("8")}, "Flywheel, mm across"),
        ({"fires_per_turn": 0.7}, "Sparks a turn"),
    ],
)
def test_impossible_measures_are_refused_naming_their_field(boss, wrong, where):
    with pytest.raises(BadInput) as caught:
        kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK | wrong)
    assert caught.value.where == where


def test_unknown_values_may_stay_empty(boss):
    unknown = {name: None for name, value in CORRICK.items() if isinstance(value, Decimal | float | int)}
    assert kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK | unknown).stroke_mm is None


def test_a_machine_may_differ_from_its_kind(boss):
    kind, machine = kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK), make.machine()
    own = {name: CORRICK[name] for name in CORRICK if name not in {"make", "model", "first_year", "last_year"}}
    kinds.measure_machine(
        machine, by=boss, now=timezone.now(), words="Corrick 185", kind=kind, **own | {"rod_mm": Decimal("116")}
    )
    machine.refresh_from_db()
    assert (machine.rod_mm, machine.kind.rod_mm) == (Decimal("116"), Decimal("110"))
    assert TrailRow.objects.first().about == f"machine {machine.pk}"
