"""What the gate's page shows of an open gate and of one that is over."""

import pytest
from django.utils import timezone

from diagnostics.changes import findings, gate_answers, gates
from diagnostics.core.gate_list import AT_BENCH, BENCH_LINES, STRAPPED_DOWN
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.models.sheets import Finding
from diagnostics.pages.gate import gate_page
from garage.changes.day import planned_steps, steps
from garage.core import states
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import gate_answered, gate_ended, gate_over

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic():
    garage.shop()
    return garage.person()


@pytest.fixture
def visit(mechanic):
    machine = garage.machine(kind=garage.machine_kind())
    visit = garage.visit(machine=machine, state=states.HERE, arrived_at=timezone.now())
    planned_steps.plan_booked(visit, the_shop())
    return visit


def shown(visit):
    return gate_page(visit, seen_by=garage.front_desk())


def ids(lines):
    return [line.item.id for line in lines]


def test_what_is_left_comes_first_then_what_is_not_in_order_then_what_is_done(visit, mechanic):
    gate = gates.begin(visit, by=mechanic, now=timezone.now())
    for item, result in (("leaks", "ok"), ("tyre", "bad"), ("brakes", "ok")):
        gate_answers.answer(gate, given=GateSheet({item: result}), by=mechanic, now=timezone.now())
    part = shown(visit).part
    assert ids(part.standing)[-3:] == ["tyre", "leaks", "brakes"]
    assert [item.id for item in part.left] == ids(part.standing)[:-3]
    assert (part.id, part.done_count, ids(part.bad)) == (AT_BENCH, 3, ["tyre"])
    done = part.standing[-1]
    assert (done.said, done.by) == ("in order", mechanic)


def test_the_running_engine_is_offered_step_by_step(visit, mechanic):
    gate = gates.begin(visit, by=mechanic, now=timezone.now())
    part = shown(visit).part
    assert (part.running, part.has_running, part.is_off) == ((), True, False)
    assert [item.id for item in part.waits_for] == ["leaks", "mix", "oil-coolant", "throttle", "exhaust"]
    for item in ("leaks", "mix", "oil-coolant", "throttle", "exhaust"):
        gate_answers.answer(gate, given=GateSheet({item: "ok"}), by=mechanic, now=timezone.now())
    part = shown(visit).part
    assert (ids(part.running), part.waits_for, [item.id for item in part.later]) == (
        ["kill-switch"],
        (),  # it runs for the kill switch, which the others wait for
        ["strobe", "rev-out"],
    )
    gate_answered(gate, by=mechanic, part=AT_BENCH, strobe=(), rev_out="")
    assert ids(shown(visit).part.running) == ["kill-switch", "strobe", "rev-out"]
    findings.record(visit, question="nipped", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    page = shown(visit)
    assert (ids(page.part.running), page.part.is_off, page.part.left) == (["kill-switch"], True, ())
    assert page.stops


def test_after_the_bench_it_is_put_on_the_rollers_and_asked_there(visit, mechanic):
    gate = gate_answered(gates.begin(visit, by=mechanic, now=timezone.now()), by=mechanic, part=AT_BENCH)
    assert not shown(visit).is_between
    gate = gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    page = shown(visit)
    assert (page.part, page.may_stand, [roller.number for roller in page.rollers]) == (None, True, [1])
    assert set(ids(page.bench)) == {line.id for line in BENCH_LINES}
    findings.record(visit, question="pinking", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert (shown(visit).is_between, shown(visit).may_stand) == (True, False)
    findings.record(visit, question="pinking", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert not shown(visit).may_stand
    gate = gate_answered(gates.do_the_bench_again(gate, by=mechanic, now=timezone.now()), by=mechanic, part=AT_BENCH)
    gate = gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    part = shown(visit).part
    assert (part.id, part.has_running, part.done_count) == (STRAPPED_DOWN, False, 0)


def test_once_it_is_passed_the_session_is_next_on_the_roller_where_it_stands(visit, mechanic):
    gate_ended(visit, by=mechanic)
    page = shown(visit)
    assert (page.session, [roller.number for roller in page.rollers]) == (visit.steps.get(at="roller"), [1])
    steps.begin(page.session, by=mechanic, now=timezone.now(), station=1)
    visit.refresh_from_db()
    assert shown(visit).session is None


def test_a_gate_that_is_over_shows_the_lines_it_had(visit, mechanic):
    gate = gate_over(visit=visit, by=mechanic, rev_out="clean", strobe_not_seen="cover", highest_rpm=6000)
    gate.items.create(item="leaks", result="ok")
    gate.items.create(item="tyre", result="bad", words="bald")
    lines = {line.item.id: (line.said, line.is_bad, line.by) for line in shown(visit).last_lines}
    assert set(lines) == {"leaks", "tyre", "strobe", "rev-out", "highest-revs"}
    assert lines["tyre"] == ("not in order: bald", True, None)
    assert lines["strobe"][0] == "marks not seen: cover"
    assert lines["highest-revs"][0] == "6000 rpm"
