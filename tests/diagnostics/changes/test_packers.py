from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.changes import packers
from garage.core import states
from garage.core.errors import Refused
from garage.models.packers import PackerStock
from jobs.models.cards import CardLine
from tests.factories import garage
from tests.factories.diagnostics import gate_over
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
STACK = [Decimal("0.80"), Decimal("0.50"), Decimal("0.50")]


@pytest.fixture
def by():
    garage.shop()
    for thickness_mm, count, price in (("0.5", 4, "1.20"), ("0.8", 2, None)):
        PackerStock.objects.create(thickness_mm=Decimal(thickness_mm), count=count, price_each=price)
    return garage.person()


@pytest.fixture
def gate(by):
    return gate_over(strobe_readings=[[1400, 14], [9000, 19.5]], strobe_verdict="advances", passed=False)


def counts():
    return [row.count for row in PackerStock.objects.all()]


def on_card():
    return [
        (line.what, line.words, line.quantity, line.price_each, line.struck_at is not None)
        for line in CardLine.objects.order_by("what")
    ]


def test_a_stack_is_taken_once_and_shown_on_gate_card_and_in_the_trail(gate, by):
    packers.take(gate.visit, packers_mm=STACK, by=by, now=timezone.now())
    gate.refresh_from_db()
    assert (gate.packers_mm, counts()) == (["0.8", "0.5", "0.5"], [2, 1])
    assert on_card() == [
        ("part", "Packer 0.5 mm, under the stator plate", 2, Decimal("1.20"), False),
        ("work", "1 × Packer 0.8 mm, under the stator plate", None, None, False),
    ]
    assert gate.visit.trail.filter(did__startswith="took packers of 0.8, 0.5 and 0.5 mm").exists()
    with pytest.raises(Refused, match=r"0\.8, 0\.5 and 0\.5 mm were already taken for these readings"):
        packers.take(gate.visit, packers_mm=STACK, by=by, now=timezone.now())
    assert counts() == [2, 1]


def test_packers_put_back_are_struck_out_on_the_card_and_can_be_taken_again(gate, by):
    packers.take(gate.visit, packers_mm=STACK, by=by, now=timezone.now())
    packers.put_back(gate.visit, by=by, now=timezone.now())
    gate.refresh_from_db()
    assert (gate.packers_mm, counts()) == ([], [4, 2])
    assert [struck for *_, struck in on_card()] == [True, True]
    with pytest.raises(Refused, match="No packers were taken"):
        packers.put_back(gate.visit, by=by, now=timezone.now())
    packers.take(gate.visit, packers_mm=STACK[:1], by=by, now=timezone.now())
    assert counts() == [4, 1]


def test_what_is_not_in_stock_leaves_gate_and_card_alone(gate, by):
    with pytest.raises(Refused, match=r"Not enough 0\.8 mm packers in stock \(2 left\)"):
        packers.take(gate.visit, packers_mm=[Decimal("0.8")] * 3, by=by, now=timezone.now())
    gate.refresh_from_db()
    assert (gate.packers_mm, counts(), on_card()) == ([], [4, 2], [])


@pytest.mark.parametrize("verdict", ["in-spec", "set-wrong", "erratic"])
def test_other_readings_take_no_packers(by, verdict):
    gate = gate_over(strobe_readings=[[1400, 17], [9000, 17]], strobe_verdict=verdict)
    with pytest.raises(Refused, match="whose last readings advance"):
        packers.take(gate.visit, packers_mm=STACK, by=by, now=timezone.now())


def test_a_machine_that_has_left_takes_no_packers(by):
    gate = gate_over(
        strobe_readings=[[1400, 14], [9000, 19.5]], strobe_verdict="advances", passed=False, state=states.COLLECTED
    )
    with pytest.raises(Refused, match="a machine that is here"):
        packers.take(gate.visit, packers_mm=STACK, by=by, now=timezone.now())


def test_packers_are_taken_and_put_back_with_who_and_when(gate, by):
    now, kept = timezone.now(), {"by": by, "visit": gate.visit}
    packers.take(gate.visit, packers_mm=STACK[:1], by=by, now=now)
    row = gate.visit.trail.get(did="took packers of 0.8 mm from stock")
    assert (row.by, row.at) == (by, now)
    packers.put_back(gate.visit, by=by, now=now)
    row = gate.visit.trail.get(did="put packers of 0.8 mm back in stock")
    assert (row.by, row.at) == (by, now)
    check_noted(
        "struck out on the card: 1 × Packer 0.8 mm, under the stator plate",
        at=now,
        line=CardLine.objects.get().pk,
        **kept,
    )


def test_each_refusal_of_packers_says_why(gate, by):
    now, visit = timezone.now(), gate.visit
    with refuses("No packers were taken for these readings."):
        packers.put_back(visit, by=by, now=now)
    packers.take(visit, packers_mm=STACK, by=by, now=now)
    with refuses("Packers of 0.8, 0.5 and 0.5 mm were already taken for these readings: put them back first."):
        packers.take(visit, packers_mm=STACK, by=by, now=now)
    sentence = (
        "Packers are taken for a machine that is here and whose last readings advance: those of this visit do not."
    )
    others = garage.visit(machine=visit.machine, state=states.HERE)
    for visit in (garage.visit(state=states.HERE), others):
        with refuses(sentence):
            packers.take(visit, packers_mm=STACK, by=by, now=now)
