from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import findings, gates
from diagnostics.core.gate import ITEMS, NOT_DONE
from diagnostics.core.gate_people import NEVER_OVERRIDDEN
from diagnostics.models.gates import Gate
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing
from garage.changes.day import planned_steps, steps
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import SoldPiece, Step
from garage.reads.routed import to_fix_first
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import gate_sheet
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
REASON = "Worn to the marks, sound for one low-speed run."


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


def sheet(**given):
    """Everything in order but what is given, with a second person of the shop within call."""
    return gate_sheet(**{"second_id": garage.person().pk} | given)


def ended(visit, by, **given):
    begun = gates.begin(visit, by=by, now=timezone.now())
    gate = gates.end(begun, by=by, now=timezone.now(), sheet=sheet(**given))
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
    with pytest.raises(Refused, match="Nobody overrides that"):
        gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)


def test_what_the_owner_said_stops_it_until_the_bench_has_found_otherwise(visit, mechanic):
    findings.record(visit, question="nipped", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="No full throttle"):
        ended(visit, mechanic)
    assert ended(visit, mechanic, rev_out=NOT_DONE).passed is False
    findings.record(visit, question="nipped", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert ended(visit, mechanic).passed is True


def test_a_named_person_lets_a_failed_gate_pass_with_a_reason(visit, mechanic):
    gate = ended(visit, mechanic, bad=["tyre"])
    boss = garage.boss()
    for too_little in ("  ", "low-speed run", "x" * 201):
        with pytest.raises(BadInput, match="reason"):
            gates.override(gate, by=boss, now=timezone.now(), reason=too_little)
    visit.refresh_from_db()
    assert visit.gate_passed_at is None
    gates.override(gate, by=boss, now=timezone.now(), reason=f"  {REASON} ")
    visit.refresh_from_db()
    gate.refresh_from_db()
    assert (gate.overridden_by, gate.override_reason, gate.passed) == (boss, REASON, False)
    assert visit.gate_passed_at
    assert list(to_fix_first()) == []
    with pytest.raises(Refused, match="already overridden"):
        gates.override(gate, by=boss, now=timezone.now(), reason=REASON)


@pytest.mark.parametrize("role", [Person.MECHANIC, Person.FRONT_DESK])
def test_only_the_boss_lets_a_failed_gate_pass(visit, mechanic, role):
    gate = ended(visit, mechanic, bad=["tyre"])
    with pytest.raises(Refused, match="Only the boss"):
        gates.override(gate, by=garage.person(role=role), now=timezone.now(), reason=REASON)


def test_the_boss_who_ran_the_gate_does_not_let_it_pass(visit):
    boss = garage.boss()
    gate = ended(visit, boss, bad=["tyre"])
    with pytest.raises(Refused, match="ran this gate"):
        gates.override(gate, by=boss, now=timezone.now(), reason=REASON)
    assert gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON).overridden_by


@pytest.mark.parametrize("line", sorted(NEVER_OVERRIDDEN))
def test_some_lines_nobody_overrides(visit, mechanic, line):
    gate = ended(visit, mechanic, bad=[line, "tyre"])
    with pytest.raises(Refused, match="Nobody overrides this"):
        gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    visit.refresh_from_db()
    assert visit.gate_passed_at is None


def test_the_second_person_is_picked_and_is_not_the_one_who_runs_the_gate(visit, mechanic):
    left = garage.person(is_active=False)
    for second_id in (None, mechanic.pk, left.pk):
        with pytest.raises(BadInput, match="Second person within call"):
            ended(visit, mechanic, second_id=second_id)
    other = garage.person(first_name="Jo")
    gate = ended(visit, mechanic, second_id=other.pk)
    assert (gate.passed, gate.second, gate.second_person) == (True, other, "Jo")


def test_nobody_need_be_picked_where_no_second_person_is_there(visit, mechanic):
    gate = ended(visit, mechanic, bad=["second-person"], second_id=None)
    assert (gate.passed, gate.second, gate.second_person) == (False, None, "")


def test_a_finding_after_the_gate_takes_the_pass_back_and_asks_for_another_gate(visit, mechanic):
    ended(visit, mechanic)
    findings.record(visit, question="pinking", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.gate_passed_at, visit.must_not_run) == (None, ["Does it rattle or pink under load? Yes."])
    waiting = Step.objects.filter(visit=visit, began_at=None).order_by("index")
    assert [step.what for step in waiting] == ["gate", "set-up"]
    findings.record(visit, question="pinking", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.gate_passed_at, visit.must_not_run) == (None, [])


def test_only_a_failed_gate_is_overridden(visit, mechanic):
    passed = ended(visit, mechanic)
    with pytest.raises(Refused, match="Only a failed gate"):
        gates.override(passed, by=garage.boss(), now=timezone.now(), reason=REASON)


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
        gates.end(gate, by=mechanic, now=timezone.now(), sheet=sheet(strobe=()))
    assert Gate.objects.get().ended_at is None
    assert visit.findings.count() == 0


def test_a_gate_is_kept_whole_from_beginning_to_end(visit, mechanic):
    now, by = timezone.now(), garage.person()
    gate = gates.begin(visit, by=mechanic, now=now)
    check_noted("gate begun", by=mechanic, at=now, visit=visit)
    end = now + timedelta(minutes=10)
    sam = garage.person(first_name="Sam within call")
    given = {"bad": ["tyre"], "words": {"tyre": " worn "}, "highest_rpm": 9000, "fuel_mix": "1:50"}
    gates.end(gate, by=by, now=end, sheet=sheet(**given, second_id=sam.pk))
    row = Gate.objects.get()
    assert (row.visit, row.begun_at, row.ended_at, row.by, row.passed) == (visit, now, end, mechanic, False)
    assert (row.rev_out, row.strobe_readings) == ("clean", [[1400.0, 17.0], [9000.0, 16.5]])
    assert (row.strobe_verdict, row.strobe_not_seen) == ("in-spec", "")
    assert (row.highest_rpm, row.fuel_mix, row.second_person, row.second) == (9000, "1:50", "Sam within call", sam)
    items = {item.item: (item.result, item.words) for item in row.items.all()}
    assert items == {item.id: ("bad", "worn") if item.id == "tyre" else ("ok", "") for item in ITEMS}
    step = Step.objects.get(visit=visit, is_check=True, ended_at=end)
    assert (step.began_at, step.by) == (now, by)
    failed = visit.trail.get(did="failed the gate")
    assert (failed.by, failed.at, failed.detail) == (by, end, {"reasons": row.fails})
    check_noted("routed: fix first", by=by, at=end, visit=visit, reasons=row.fails)
    found = standing(visit)["rev_out"]
    assert (found.by, found.at, found.source) == (by, end, Finding.WORKSHOP)


def test_a_passed_gate_is_noted_and_the_visit_is_roller_ready(visit, mechanic):
    now = timezone.now()
    gates.end(gates.begin(visit, by=mechanic, now=now), by=mechanic, now=now, sheet=sheet())
    check_noted("routed: roller-ready", by=mechanic, at=now, visit=visit, reasons=["The gate was passed."])
    visit.refresh_from_db()
    assert (visit.route, visit.ready_chance, visit.gate_passed_at) == (routes.ROLLER_READY, 1.0, now)


def test_a_gate_that_stops_the_machine_is_noted_as_do_not_run(visit, mechanic):
    now = timezone.now()
    gate = gates.begin(visit, by=mechanic, now=now)
    gates.end(gate, by=mechanic, now=now, sheet=sheet(strobe=((1400.0, 14.0), (9000.0, 19.5))))
    fails = Gate.objects.get().fails
    check_noted("routed: do not run", by=mechanic, at=now, visit=visit, reasons=fails)
    visit.refresh_from_db()
    assert (visit.route, visit.route_reasons) == (routes.DO_NOT_RUN, fails)
    assert visit.bench_minutes == Step.objects.get(visit=visit, what="fix first").minutes


def test_an_override_is_kept_and_noted_in_its_own_name(visit, mechanic):
    gate, boss, now = ended(visit, mechanic, bad=["tyre"]), garage.boss(first_name="Bo"), timezone.now()
    gates.override(gate, by=boss, now=now, reason=f" {'x' * 200} ")
    reason = "x" * 200
    row = Gate.objects.get()
    assert (row.overridden_by, row.overridden_at, row.override_reason) == (boss, now, reason)
    said = visit.trail.get(did__startswith="gate overridden: x")
    assert (said.by, said.at, said.detail) == (boss, now, {"fails": row.fails})
    reasons = [f"Bo let it through a failed gate: {reason}"]
    check_noted("routed: roller-ready", by=boss, at=now, visit=visit, reasons=reasons)
    visit.refresh_from_db()
    assert (visit.gate_passed_at, visit.ready_chance, visit.route_reasons) == (now, 1.0, reasons)


def test_each_refusal_of_a_gate_says_what_to_do(visit, mechanic):
    boss, now = garage.boss(first_name="Bo"), timezone.now()
    gate = gates.begin(visit, by=mechanic, now=now)
    with refuses("Only a failed gate can be overridden."):
        gates.override(gate, by=boss, now=now, reason="why not")
    gates.end(gate, by=mechanic, now=now, sheet=sheet(bad=["tyre"]))
    with refuses("This gate is already over: begin another one."):
        gates.end(gate, by=mechanic, now=now, sheet=gate_sheet())
    allowed = "allowed is why it may go on the rollers all the same, in 20 to 200 letters."
    with refuses(f"The reason is missing; {allowed}", BadInput):
        gates.override(gate, by=boss, now=now, reason=" ")
    with refuses(f"The reason is 201 characters; {allowed}", BadInput):
        gates.override(gate, by=boss, now=now, reason="x" * 201)
    newer = gates.begin(visit, by=mechanic, now=now + timedelta(minutes=1))
    with refuses("This visit has a newer gate: look at that one."):
        gates.override(gate, by=boss, now=now, reason="why not")
    newer.delete()
    gates.override(gate, by=boss, now=now, reason=REASON)
    with refuses("This gate was already overridden, by Bo."):
        gates.override(gate, by=boss, now=now, reason=REASON)


def test_a_machine_that_must_not_run_is_not_let_through(visit, mechanic):
    gate = ended(visit, mechanic, strobe=((1400.0, 14.0), (9000.0, 19.5)))
    with pytest.raises(Refused, match=f"^Visit {visit.number} must not run. ") as refused:
        gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    assert str(refused.value).endswith(
        "Nobody overrides that: write down what the bench found, then do the gate again."
    )
    assert all(reading in str(refused.value) for reading in ("14 degrees BTDC.", "19.5 degrees BTDC."))
