from decimal import Decimal

import pytest
from django.utils import timezone

from garage import events
from garage.changes.shop import kinds
from garage.core.errors import BadInput
from garage.models.owners import Machine, MachineKind
from garage.models.shop import VisitKind
from garage.models.trail import TrailRow
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

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
    "oiling": "mixed",
    "tap": "gravity",
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
        ({"price": Decimal("-1"), "deposit": Decimal(0)}, "Price"),
        ({"price": Decimal(1_000_000)}, "Price"),
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


def _heard(signal, change):
    """What the rooms above are told while the change is made."""
    heard = []

    def listen(sender, **told):
        told.pop("signal")
        heard.append((sender, told))

    signal.connect(listen)
    change()
    signal.disconnect(listen)
    return heard


def test_each_change_of_a_kind_is_kept_and_noted(boss):
    now, kept = timezone.now(), {"by": boss, "about": "the shop"}
    row = kinds.add_visit_kind(by=boss, now=now, **POWER_RUN)
    check_noted("added the visit kind Power run", at=now, **kept)
    row.refresh_from_db()
    assert {name: getattr(row, name) for name in POWER_RUN} == POWER_RUN
    kinds.change_visit_kind(row, by=boss, now=now, **POWER_RUN | {"minutes": 50})
    check_noted("changed the visit kind Power run", at=now, changed={"minutes": ["45", "50"]}, **kept)
    machine_kind = kinds.add_machine_kind(by=boss, now=now, **CORRICK)
    check_noted(f"added the machine kind {machine_kind}", at=now, **kept)
    machine_kind.refresh_from_db()
    assert {name: getattr(machine_kind, name) for name in CORRICK} == CORRICK
    told = _heard(
        events.machine_kind_measured,
        lambda: kinds.change_machine_kind(machine_kind, by=boss, now=now, **CORRICK | {"design_rpm": 9200}),
    )
    assert told == [(MachineKind, {"kind": machine_kind, "now": now})]
    changed = {"design_rpm": ["9000", "9200"]}
    check_noted(f"changed the machine kind {machine_kind}", at=now, changed=changed, **kept)
    lines = TrailRow.objects.count()
    kinds.change_machine_kind(machine_kind, by=boss, now=now, **CORRICK | {"design_rpm": 9200})
    assert TrailRow.objects.count() == lines


def test_a_machine_measured_is_noted_and_told_to_the_rooms_above_only_if_something_changed(boss):
    machine, now = make.machine(words="Corrick 185"), timezone.now()
    own = {name: CORRICK[name] for name in CORRICK if name not in {"make", "model", "first_year", "last_year"}}
    kinds.measure_machine(machine, by=boss, now=now, **own)
    given = own | {"rod_mm": Decimal("116")}
    told = _heard(events.machine_measured, lambda: kinds.measure_machine(machine, by=boss, now=now, **given))
    assert told == [(Machine, {"machine": machine, "now": now})]
    changed, about = {"rod_mm": ["110.00", "116"]}, f"machine {machine.pk}"
    check_noted("changed what is known of Corrick 185", by=boss, at=now, about=about, changed=changed)
    assert _heard(events.machine_measured, lambda: kinds.measure_machine(machine, by=boss, now=now, **given)) == []


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"minutes": 0}, "Minutes is 0; allowed is a multiple of five minutes, 5 or more."),
        ({"deposit": Decimal("60.01")}, "Deposit is 60.01; allowed is 0 to the price, 60.00."),
        ({"at": "bench"}, "Where is 'bench'; allowed is the rollers for a set-up or a power run."),
        (
            {"at": "bench", "booked_as": "set-up"},
            "Where is 'bench'; allowed is the rollers for a set-up or a power run.",
        ),
        ({"name": "Look"}, "Name is 'Look'; allowed is a name in letters that is not hold, who, look or confirm."),
        ({"name": "power RUN"}, "Name is 'power RUN'; allowed is one that is not on the list yet."),
    ],
)
def test_each_refusal_of_a_visit_kind_says_what_is_allowed(boss, wrong, sentence):
    now = timezone.now()
    kinds.add_visit_kind(by=boss, now=now, **POWER_RUN)
    with refuses(sentence, BadInput):
        kinds.add_visit_kind(by=boss, now=now, **POWER_RUN | {"name": "Another"} | wrong)


@pytest.mark.parametrize("edge", [{"minutes": 5}, {"deposit": Decimal("60.00")}, {"at": "bench", "booked_as": "bench"}])
def test_the_edges_of_a_visit_kind_are_allowed(boss, edge):
    assert kinds.add_visit_kind(by=boss, now=timezone.now(), **POWER_RUN | edge).pk


LIMITS = [
    ("stroke_mm", "Stroke, mm", 10, 200),
    ("rod_mm", "Rod, mm", 20, 400),
    ("flywheel_mm", "Flywheel, mm across", 30, 500),
    ("spec_btdc", "Static timing, degrees BTDC", -10, 60),
    ("curve_deg", "Change from tickover to peak, degrees", 0, 40),
    ("design_rpm", "Revs on the stand", 1000, 20000),
]


@pytest.mark.parametrize(("name", "where", "least", "most"), LIMITS)
def test_each_measure_is_allowed_up_to_its_limits_and_no_further(boss, name, where, least, most):
    machine, now = make.machine(), timezone.now()
    empty = {limit[0]: None for limit in LIMITS} | {"fires_per_turn": None}
    for value in (least, most):
        kinds.measure_machine(machine, by=boss, now=now, **empty | {name: value})
    for value in (least - 1, most + 1):
        with refuses(f"{where} is {value}; allowed is {least} to {most}, or nothing.", BadInput):
            kinds.measure_machine(machine, by=boss, now=now, **empty | {name: value})


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"last_year": 1974}, "Last year is 1974; allowed is 1975 or later."),
        ({"rod_mm": Decimal("28.5")}, "Rod, mm is 28.5; allowed is longer than half the stroke, 28.5."),
        ({"fires_per_turn": 0.7}, "Sparks a turn is 0.7; allowed is 0.5, 1 or 2."),
        ({"model": "185"}, "Model is '185'; allowed is one that is not on the list yet."),
    ],
)
def test_each_refusal_of_a_machine_kind_says_what_is_allowed(boss, wrong, sentence):
    now = timezone.now()
    kinds.add_machine_kind(by=boss, now=now, **CORRICK)
    with refuses(sentence, BadInput):
        kinds.add_machine_kind(by=boss, now=now, **CORRICK | {"model": "Another"} | wrong)


@pytest.mark.parametrize("edge", [{"last_year": 1975}, {"rod_mm": Decimal("28.6")}, {"fires_per_turn": 2.0}])
def test_the_edges_of_a_machine_kind_are_allowed_and_it_may_be_saved_as_it_is(boss, edge):
    row = kinds.add_machine_kind(by=boss, now=timezone.now(), **CORRICK | edge)
    kinds.change_machine_kind(row, by=boss, now=timezone.now(), **CORRICK | edge)
    assert MachineKind.objects.count() == 1


def test_how_it_is_oiled_is_kept_with_the_machine_and_noted_once(boss):
    machine = make.machine()
    for _ in range(2):
        kept = kinds.oiled_by(machine, oiling="pump", by=boss, now=timezone.now())
    assert kept.oiling == Machine.objects.get().oiling == "pump"
    assert TrailRow.objects.filter(about=f"machine {machine.pk}").count() == 1
