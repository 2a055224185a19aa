import pytest
from django.utils import timezone

from diagnostics.changes import findings, gates
from diagnostics.models.gates import Gate
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing
from garage.changes.day import planned_steps, steps
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.visits import SoldPiece, Step
from garage.reads.routed import to_fix_first
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import gate_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic():
    garage.shop()
    return garage.person()


@pytest.fixture
def visit(mechanic):
    visit = garage.visit(machine=garage.machine(kind=garage.machine_kind()), state=states.HERE)
    visit.arrived_at = visit.booked_at
    visit.save()
    planned_steps.plan_booked(visit, the_shop())
    SoldPiece.objects.create(at="roller", place=1, begins_at=visit.starts_at, visit=visit)
    return visit


def ended(visit, by, **given):
    gate = gates.end(
        gates.begin(visit, by=by, now=timezone.now()), by=by, now=timezone.now(), sheet=gate_sheet(**given)
    )
    visit.refresh_from_db()
    return gate


def roller_step(visit):
    return Step.objects.get(visit=visit, at="roller")


def test_a_passed_gate_opens_the_rollers_and_a_failed_one_does_not(visit, mechanic):
    with pytest.raises(Refused, match="not passed the gate"):
        steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)
    gate = ended(visit, mechanic)
    assert (gate.passed, gate.fails, gate.strobe_verdict) == (True, [], "in-spec")
    assert visit.gate_passed_at
    assert steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1).began_at


def test_a_failed_gate_sends_to_fix_first_and_frees_the_rollers(visit, mechanic):
    gate = ended(visit, mechanic, rev_out="ceiling")
    assert (gate.passed, len(gate.fails)) == (False, 1)
    assert "ceiling" in gate.fails[0]
    assert (visit.route, visit.gate_passed_at, visit.starts_at) == (routes.FIX_FIRST, None, None)
    assert not SoldPiece.objects.exists()
    assert list(to_fix_first()) == [visit]
    open_steps = Step.objects.filter(visit=visit, began_at=None).order_by("index")
    assert [step.what for step in open_steps] == ["fix first", "gate", "set-up"]
    with pytest.raises(Refused, match="not passed the gate"):
        steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)


def test_what_the_gate_found_stands_as_findings_of_the_workshop(visit, mechanic):
    ended(visit, mechanic, rev_out="smoky", strobe=((9000.0, 16.0), (1400.0, 17.0)))
    found = {question: (row.answer, row.source, row.by) for question, row in standing(visit).items()}
    assert found == {
        "rev_out": ("smoky", Finding.WORKSHOP, mechanic),
        "strobe_idle": (17.0, Finding.WORKSHOP, mechanic),
        "strobe_peak": (16.0, Finding.WORKSHOP, mechanic),
    }


def test_the_do_not_run_rules_run_on_what_the_gate_found(visit, mechanic):
    gate = ended(visit, mechanic, strobe=((1400.0, 14.0), (9000.0, 19.5)))
    assert gate.strobe_verdict == "advances"  # 14 climbing to 19.5: manual of `timing`
    assert (visit.route, visit.ready_chance) == (routes.DO_NOT_RUN, 0)
    assert any(line.startswith("Do not run:") for line in gate.fails)
    with pytest.raises(Refused, match="must not be run"):
        gates.override(gate, by=mechanic, now=timezone.now(), reason="in a hurry")


def test_what_the_owner_said_stops_it_until_the_bench_has_found_otherwise(visit, mechanic):
    findings.record(visit, question="nipped", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert ended(visit, mechanic).passed is False
    findings.record(visit, question="nipped", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert ended(visit, mechanic).passed is True


def test_a_named_person_lets_a_failed_gate_pass_with_a_reason(visit, mechanic):
    gate = ended(visit, mechanic, bad=["tyre"])
    boss = garage.boss()
    with pytest.raises(BadInput, match="reason"):
        gates.override(gate, by=boss, now=timezone.now(), reason="  ")
    visit.refresh_from_db()
    assert visit.gate_passed_at is None
    gates.override(gate, by=boss, now=timezone.now(), reason="low-speed run only")
    visit.refresh_from_db()
    gate.refresh_from_db()
    assert (gate.overridden_by, gate.override_reason, gate.passed) == (boss, "low-speed run only", False)
    assert visit.gate_passed_at
    assert list(to_fix_first()) == []
    with pytest.raises(Refused, match="already overridden"):
        gates.override(gate, by=boss, now=timezone.now(), reason="again")


def test_only_a_failed_gate_is_overridden(visit, mechanic):
    passed = ended(visit, mechanic)
    with pytest.raises(Refused, match="Only a failed gate"):
        gates.override(passed, by=mechanic, now=timezone.now(), reason="why not")


def test_a_gate_begins_once_the_machine_is_here(visit, mechanic):
    coming = garage.visit()
    with pytest.raises(Refused, match="take the machine in first"):
        gates.begin(coming, by=mechanic, now=timezone.now())
    assert gates.begin(visit, by=mechanic, now=timezone.now()) == gates.begin(visit, by=mechanic, now=timezone.now())
    assert Gate.objects.count() == 1


def test_a_gate_ends_once(visit, mechanic):
    gate = ended(visit, mechanic)
    with pytest.raises(Refused, match="already over"):
        gates.end(gate, by=mechanic, now=timezone.now(), sheet=gate_sheet())


def test_what_is_missing_ends_nothing(visit, mechanic):
    gate = gates.begin(visit, by=mechanic, now=timezone.now())
    with pytest.raises(BadInput, match="strobe"):
        gates.end(gate, by=mechanic, now=timezone.now(), sheet=gate_sheet(strobe=()))
    assert Gate.objects.get().ended_at is None
    assert visit.findings.count() == 0
