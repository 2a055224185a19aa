"""Every door to the rollers × every stop: through the change itself, and by a post sent by hand to its address.

The doors are those of tests/rules/roller_doors.py. Each is first gone through with nothing against it, so that a
refusal cannot come from something else.
"""

from __future__ import annotations

import contextlib
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import causes, findings, gate_answers, gates, judgements, sheets, way_back
from diagnostics.core.gate_list import AT_BENCH, STRAPPED_DOWN
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.models.gates import Gate
from diagnostics.models.judgements import Acted
from diagnostics.models.sheets import Finding
from diagnostics.reads.judgement import latest
from diagnostics.reads.rev_out import rev_out_of
from garage.changes.day import routes as route_changes
from garage.changes.day import steps
from garage.changes.visit import bookings, confirming, floor, gate_results, offers, owner_choices, standby, visits
from garage.core import routes, states
from garage.core.errors import Refused, Showable
from garage.core.roller_rule import STOPS, StopKind
from garage.core.selling.standby import OnStandby
from garage.models.actors import OWNER
from garage.models.people import Person
from garage.models.standby import FreedTime, Offer
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Step, Visit
from garage.reads import links
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from jobs.changes import cards, runs
from jobs.models.cards import CardLine
from jobs.models.runs import Run, RunFile
from tests.factories import booking, garage
from tests.factories import runs as made
from tests.factories.diagnostics import gate_answered, gate_ended
from tests.rules.roller_doors import DOORS, Door

pytestmark = pytest.mark.django_db
REASON = "Worn to the marks, sound for one low-speed run."
A_JET = {"words": "Main jet", "before": "98", "after": "95"}
A_RIDE = {"words": "Round the block: pulls clean", "rider": "", "insured": "insured by the garage"}


@dataclass
class World:
    """A set-up booked for ten o'clock some days ahead, its people, and who presses by hand."""

    client: Client
    mechanic: Person = field(default_factory=garage.person)
    boss: Person = field(default_factory=garage.boss)
    second: Person = field(default_factory=lambda: garage.person(first_name="Within call"))

    def __post_init__(self) -> None:
        garage.shop()
        kind = garage.visit_kind()
        self.start = booking.at_local(booking.workday(ahead=5), 10)
        self.later = booking.at_local(booking.workday(ahead=5), 14)
        self.visit = booking.booked(kind, self.start)
        self.visit.machine.kind = garage.machine_kind()
        self.visit.machine.save()

    def fresh(self) -> Visit:
        return Visit.objects.select_related("owner", "machine", "machine__kind", "kind").get(pk=self.visit.pk)

    def roller(self) -> Step:
        return Step.objects.get(visit=self.visit, at="roller")

    def alter(self, **values: Any) -> None:
        Visit.objects.filter(pk=self.visit.pk).update(**values)

    def is_here(self) -> None:
        """Taken in, with its gate done and passed."""
        now = timezone.now()
        self.alter(state=states.HERE, arrived_at=now, gate_passed_at=now)
        Step.objects.filter(visit=self.visit, is_check=True).update(
            began_at=now, ended_at=now, by=self.mechanic, station=1
        )

    def finds(self, question: str, answer: Any) -> None:
        findings.record(
            self.fresh(),
            question=question,
            answer=answer,
            source=Finding.WORKSHOP,
            by=self.mechanic,
            now=timezone.now(),
        )

    def is_to_be_put_right(self) -> None:
        """Nobody has said how: it has no time."""
        route_changes.fix_first(
            self.fresh(), reasons=[], ready_chance=0.3, bench_minutes=50, by=self.boss, now=timezone.now()
        )

    def is_mended_at_home(self) -> None:
        self.is_to_be_put_right()
        owner_choices.fix_it_yourself(self.fresh(), guides=(), by=self.boss, now=timezone.now())
        route_changes.roller_ready(self.fresh(), reasons=[], ready_chance=0.9, by=self.boss, now=timezone.now())

    def is_offered_a_time(self) -> None:
        """One that another visit gave back, sooner than its own."""
        self.freed_for_somebody()
        now = timezone.now()
        Offer.objects.create(
            time=FreedTime.objects.get(), visit=self.visit, offered_at=now, open_until=now + timedelta(minutes=30)
        )

    def is_here_when_a_time_comes_free(self) -> None:
        self.freed_for_somebody()
        self.is_here()
        self.visit.pieces.all().delete()
        self.alter(at="", starts_at=None, minutes=0)

    def lapsed(self) -> Visit:
        """Booked online, and nobody confirmed it."""
        Unconfirmed.objects.create(visit=self.visit, starts_at=self.visit.starts_at, until=timezone.now())
        self.visit.pieces.all().delete()
        self.alter(state=states.LAPSED, at="", starts_at=None, minutes=0)
        return self.fresh()

    def freed_for_somebody(self) -> None:
        now, much_later = timezone.now(), booking.at_local(booking.workday(ahead=9), 14)
        other = booking.booked(self.visit.kind, self.later, email="other@example.org")
        visits.move(self.visit, starts_at=much_later, by=self.boss, now=now)
        FreedTime.objects.all().delete()
        standby.ask(self.fresh(), notice_hours=0, weekdays=range(7), by=self.boss, now=now)
        visits.call_off(other, why="", by=self.boss, now=now)

    def one_on_standby(self) -> OnStandby:
        """Whatever stands against it: what is given is asked for again."""
        return OnStandby(self.visit.number, "roller", 90, timezone.now(), is_here=True)

    def judged(self) -> None:
        self.finds("pinking", "no")

    def sheet_begun(self) -> None:
        for question, given in (("changed", ["nothing"]), ("nipped", "no"), ("pinking", "no")):
            sheets.answer(self.fresh(), question=question, given=given, now=timezone.now())

    def gate_begun(self) -> None:
        self.is_here()
        self.alter(gate_passed_at=None)
        gates.begin(self.fresh(), by=self.mechanic, now=timezone.now())

    def engine_runs(self) -> None:
        """At the gate, with everything answered but the rev-out."""
        self.gate_begun()
        gate_answered(Gate.objects.get(), by=self.mechanic, part=AT_BENCH, rev_out="")

    def bench_answered(self, **given: Any) -> None:
        self.gate_begun()
        gate_answered(Gate.objects.get(), by=self.mechanic, part=AT_BENCH, **given)

    def bench_passed(self) -> None:
        self.bench_answered()
        gates.end_at_the_bench(Gate.objects.get(), by=self.mechanic, now=timezone.now())

    def is_strapped_down(self) -> None:
        self.bench_passed()
        gate = gates.put_on_the_rollers(Gate.objects.get(), station=1, by=self.mechanic, now=timezone.now())
        gate_answered(gate, by=self.mechanic, part=STRAPPED_DOWN, second_id=self.second.pk)

    def has_pulled(self) -> None:
        """Past the gate at the bench, with a run that held with main jet 98."""
        self.bench_passed()
        self.visit.machine.fitted = {"main jet": "98"}
        self.visit.machine.save()
        made.run(self.fresh(), by=self.mechanic, pulled_clean=True)

    def sends_a_file(self) -> RunFile:
        now = timezone.now()
        return runs.send(self.fresh(), name="B.csv", content=made.power_file(), by=self.mechanic, now=now)

    def gate_failed(self) -> None:
        self.bench_answered(bad=["tyre"])
        gates.end_at_the_bench(Gate.objects.get(), by=self.mechanic, now=timezone.now())

    def stop(self, kind: StopKind) -> None:
        if kind is StopKind.MUST_NOT_RUN:
            self.finds("pinking", "yes")
        elif kind is StopKind.MARKED:
            self.alter(route=routes.DO_NOT_RUN)
        elif kind is StopKind.NOT_HERE:
            self.alter(state=states.BOOKED)
        elif kind is StopKind.NO_GATE:
            self.alter(gate_passed_at=None, gate_at_bench_passed_at=None)
        elif kind is StopKind.FOR_GOOD:
            Gate.objects.get().items.filter(item="brakes").update(result="bad")
        else:
            Run.objects.update(struck_at=timezone.now())

    def post(self, name: str, *args: object, by: Person | None = None, **sent: object) -> None:
        if by:
            self.client.force_login(by)
        self.client.post(reverse(name, args=args), sent)


@dataclass(frozen=True)
class Way:
    """ready: everything but the stop. change, hand: the two ways through it. is_open: whether it was gone through."""

    ready: Callable[[World], None]
    change: Callable[[World], object]
    hand: Callable[[World], object] | None
    is_open: Callable[[World], bool]


def _plans_rollers(world: World) -> bool:
    problem = day_plan(world.start.date(), the_shop(), timezone.now()).problem
    return any(step.at == "roller" for job in problem.jobs for step in job.steps)


def _shows_rollers(world: World) -> None:
    world.client.force_login(world.mechanic)
    page = world.client.get(reverse("day-sheet-on", args=[world.start.date().isoformat()])).context["page"]
    assert any(row.step.at == "roller" for row in page.nexts) == _plans_rollers(world)


def _shows_the_clip(world: World) -> None:
    page = world.client.get(reverse("sheet-clip", args=[links.token(world.fresh(), links.SHEET)])).context["page"]
    assert page.rev_out.may_be_asked == rev_out_of(world.fresh()).may_be_asked


def _revs_out(world: World) -> None:
    gate_answers.answer(Gate.objects.get(), given=GateSheet(rev_out="clean"), by=world.mechanic, now=timezone.now())


def _books_again(world: World) -> None:
    draft = booking.draft(world.visit.kind, world.later, machine_id=world.visit.machine_id)
    bookings.book_at_the_desk(draft, by=world.boss, now=timezone.now())


def _posts_another_booking(world: World) -> None:
    well = dict.fromkeys(("nipped", "pinking", "leaks"), "no")
    sent = {"kind": "set-up", "machine": world.visit.machine_id, "key": uuid.uuid4(), "wants": ""} | well
    world.post("desk-booking", by=world.boss, starts_at=world.later.isoformat(), **sent)


def _acts(world: World) -> None:
    kept = latest(world.fresh())
    judgements.act_otherwise(kept, route=routes.ROLLER_READY, why="I heard it run.", by=world.boss, now=timezone.now())


def _answers_the_rev_out(world: World) -> None:
    sheets.answer_rev_out(world.fresh(), given="clean", ticks=[], now=timezone.now())


def _posts_a_run(world: World) -> None:
    """The file may be refused already, of a machine that is not here."""
    columns = {"column_0": "revs:rpm", "column_1": "power:kW", "pressure_unit": "hPa", "temperature_unit": "°C"}
    asked = columns | {"standard": "sae", "smoothing": "0.2", "main_jet": "95"}
    with contextlib.suppress(Showable):
        world.post("run-file", world.visit.number, world.sends_a_file().pk, by=world.mechanic, **asked)


def _token(world: World, purpose: str) -> str:
    return links.token(world.fresh(), purpose)


def _coming(_world: World) -> None:
    """As it was booked."""


WAYS: dict[str, Way] = {
    "a step begun": Way(
        World.is_here,
        lambda w: steps.begin(w.roller(), by=w.mechanic, now=timezone.now(), station=1),
        lambda w: w.post("step-begin", w.roller().pk, by=w.mechanic, station=1),
        lambda w: w.roller().began_at is not None,
    ),
    "a step put down as done": Way(
        World.is_here,
        lambda w: steps.was_done(w.roller(), began_at=timezone.now(), by=w.mechanic, now=timezone.now()),
        None,
        lambda w: w.roller().began_at is not None,
    ),
    "the state set by hand": Way(
        World.is_here,
        lambda w: floor.say(w.fresh(), states.ON_THE_ROLLERS, by=w.mechanic, now=timezone.now()),
        lambda w: w.post("visit-state", w.visit.number, by=w.mechanic, state=states.ON_THE_ROLLERS),
        lambda w: w.fresh().state == states.ON_THE_ROLLERS,
    ),
    "a machine put there to be strapped down": Way(
        World.bench_passed,
        lambda w: steps.put_on_the_rollers(w.fresh(), by=w.mechanic, now=timezone.now(), station=1),
        lambda w: w.post("gate-on", w.visit.number, by=w.mechanic, station=1),
        lambda w: w.fresh().state == states.ON_THE_ROLLERS,
    ),
    "a step fixed by hand": Way(
        _coming,
        lambda w: steps.pin(w.roller(), station=1, by_person=None, begins_at=None, by=w.boss, now=timezone.now()),
        lambda w: w.post("step-pin", w.roller().pk, by=w.boss, station=1),
        lambda w: w.roller().pin_station == 1,
    ),
    "the plan of the day": Way(_coming, _plans_rollers, _shows_rollers, _plans_rollers),
    "a time given": Way(
        World.is_here,
        lambda w: visits.give_time(
            w.fresh(), at="roller", starts_at=w.later, minutes=90, by=w.boss, now=timezone.now()
        ),
        lambda w: w.post(
            "visit-time", w.visit.number, by=w.boss, at="roller", minutes=90, starts_at=w.later.isoformat()
        ),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a time moved": Way(
        _coming,
        lambda w: visits.move(w.fresh(), starts_at=w.later, by=w.boss, now=timezone.now()),
        lambda w: w.post("visit-move", w.visit.number, by=w.boss, starts_at=w.later.isoformat()),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a time moved by its owner": Way(
        _coming,
        lambda w: visits.move_by_owner(w.fresh(), starts_at=w.later, now=timezone.now()),
        lambda w: w.post("owner-move", _token(w, links.VISIT), starts_at=w.later.isoformat()),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a new time picked by its owner": Way(
        World.is_mended_at_home,
        lambda w: owner_choices.take_time(w.fresh(), starts_at=w.later, now=timezone.now()),
        lambda w: w.post("owner-time", _token(w, links.VISIT), starts_at=w.later.isoformat()),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a freed time taken": Way(
        World.is_offered_a_time,
        lambda w: offers.accept(Offer.objects.get(), by=OWNER, now=timezone.now()),
        lambda w: w.post("owner-offer", _token(w, links.VISIT), Offer.objects.get().pk, answer="yes"),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a freed time taken at the desk": Way(
        World.is_offered_a_time,
        lambda w: offers.accept(Offer.objects.get(), by=w.boss, now=timezone.now()),
        lambda w: w.post("visit-offer", w.visit.number, Offer.objects.get().pk, by=w.boss, answer="yes"),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a freed time given": Way(
        World.is_here_when_a_time_comes_free,
        lambda w: offers.give(FreedTime.objects.get(), w.one_on_standby(), now=timezone.now()),
        None,
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a machine left with us": Way(
        World.is_to_be_put_right,
        lambda w: owner_choices.leave_with_us(
            w.fresh(), starts_at=w.later, limit_pounds=90, may_go_on=False, now=timezone.now()
        ),
        lambda w: w.post("owner-leave-look", _token(w, links.VISIT), starts_at=w.later.isoformat(), limit_pounds=90),
        lambda w: (w.fresh().starts_at, w.fresh().at) == (w.later, "bench"),
    ),
    "a machine booked online": Way(
        _coming,
        lambda w: bookings.book_online(
            booking.draft(w.visit.kind, w.later), browser="another", address_key="here", now=timezone.now()
        ),
        None,
        lambda _: Visit.objects.count() == 2,
    ),
    "a time that lapsed taken again": Way(
        _coming,
        lambda w: confirming.confirm_by_owner(w.lapsed(), starts_at=w.later, now=timezone.now()),
        lambda w: w.post("owner-confirm", links.token(w.lapsed(), links.CONFIRM), starts_at=w.later.isoformat()),
        lambda w: w.fresh().starts_at == w.later,
    ),
    "a known machine booked": Way(_coming, _books_again, _posts_another_booking, lambda _: Visit.objects.count() == 2),
    "a route by a person's word": Way(
        World.judged,
        _acts,
        lambda w: w.post(
            "judgement-act",
            w.visit.number,
            latest(w.fresh()).pk,
            by=w.boss,
            route=routes.ROLLER_READY,
            why="I heard it run.",
        ),
        lambda _: Acted.objects.exists(),
    ),
    "the owner's rev-out": Way(
        World.sheet_begun,
        _answers_the_rev_out,
        lambda w: w.post("sheet-question", _token(w, links.SHEET), "rev_out", answer="clean"),
        lambda w: w.visit.findings.filter(question="rev_out").exists(),
    ),
    "the owner's other tests with the engine running": Way(
        World.sheet_begun,
        lambda w: sheets.answer(w.fresh(), question="half_choke", given="worse", now=timezone.now()),
        lambda w: w.post("sheet-question", _token(w, links.SHEET), "half_choke", answer="worse"),
        lambda w: w.visit.findings.filter(question="half_choke").exists(),
    ),
    "the owner's clip asked for": Way(
        World.sheet_begun,
        lambda w: rev_out_of(w.fresh()),
        _shows_the_clip,
        lambda w: rev_out_of(w.fresh()).may_be_asked,
    ),
    "the rev-out at the gate": Way(
        World.engine_runs,
        _revs_out,
        lambda w: w.post("gate-answer", w.visit.number, "rev-out", by=w.mechanic, result="clean"),
        lambda _: Gate.objects.get().rev_out == "clean",
    ),
    "the gate passed at the bench": Way(
        World.bench_answered,
        lambda w: gate_results.passed_at_the_bench(w.fresh(), by=w.mechanic, now=timezone.now()),
        lambda w: w.post("gate-bench-end", w.visit.number, by=w.mechanic),
        lambda w: w.fresh().gate_at_bench_passed_at is not None,
    ),
    "the gate passed": Way(
        World.is_strapped_down,
        lambda w: gate_results.passed(w.fresh(), by=w.mechanic, now=timezone.now()),
        lambda w: w.post("gate-end", w.visit.number, by=w.mechanic),
        lambda w: w.fresh().gate_passed_at is not None,
    ),
    "a failed gate overridden": Way(
        World.gate_failed,
        lambda w: gates.override(Gate.objects.get(), by=w.boss, now=timezone.now(), reason=REASON),
        lambda w: w.post("gate-override", w.visit.number, by=w.boss, reason=REASON),
        lambda w: w.fresh().gate_at_bench_passed_at is not None,
    ),
    "a test ride": Way(
        World.bench_passed,
        lambda w: cards.test_ride(w.fresh(), by=w.mechanic, now=timezone.now(), **A_RIDE),
        lambda w: w.post("card-write", w.visit.number, by=w.mechanic, **{f"ride-{k}": v for k, v in A_RIDE.items()}),
        lambda _: CardLine.objects.filter(what=CardLine.RIDE).exists(),
    ),
    "a smaller main jet": Way(
        World.has_pulled,
        lambda w: cards.change_of_jet(w.fresh(), by=w.mechanic, now=timezone.now(), pulled_clean=False, **A_JET),
        lambda w: w.post("card-write", w.visit.number, by=w.mechanic, **{f"jet-{k}": v for k, v in A_JET.items()}),
        lambda _: CardLine.objects.filter(what=CardLine.JET).exists(),
    ),
    "a run that says a smaller main jet": Way(
        World.has_pulled,
        lambda w: runs.take(w.sends_a_file(), made.said(fitted={"main_jet": "95"}), by=w.mechanic, now=timezone.now()),
        _posts_a_run,
        lambda _: Run.objects.filter(fitted__main_jet="95").exists(),
    ),
}
CASES = [(door, kind) for door in DOORS for kind in (None, *STOPS[door.act])]
IDS = [f"{door.words}, {kind.value if kind else 'nothing against it'}" for door, kind in CASES]
BY_HAND = [(case, name) for case, name in zip(CASES, IDS, strict=True) if WAYS[case[0].words].hand]  # has a page


def test_every_door_of_the_table_is_gone_through():
    assert list(WAYS) == [door.words for door in DOORS]


@pytest.fixture
def world(client, db):
    return World(client)


@pytest.mark.parametrize(("door", "kind"), CASES, ids=IDS)
def test_the_change_is_refused_if_and_only_if_the_stop_stands_at_the_door(world: World, door: Door, kind):
    way = WAYS[door.words]
    _made_ready(world, way, kind)
    with contextlib.suppress(Showable):
        way.change(world)
    assert way.is_open(world) == (kind not in door.stops)


@pytest.mark.parametrize(("door", "kind"), [pytest.param(*case, id=name) for case, name in BY_HAND])
def test_so_is_what_is_sent_to_its_address_by_hand(world: World, door: Door, kind):
    way = WAYS[door.words]
    _made_ready(world, way, kind)
    way.hand(world)
    assert way.is_open(world) == (kind not in door.stops)


def _made_ready(world: World, way: Way, kind: StopKind | None) -> None:
    way.ready(world)
    if kind is not None:
        world.stop(kind)


def test_what_was_found_stops_it_while_the_boss_is_still_asked_and_no_longer_once_it_is_found_otherwise(world):
    world.sheet_begun()
    sheets.answer(world.fresh(), question="pinking", given="yes", now=timezone.now())
    sheets.answer(world.fresh(), question="trouble", given="none", now=timezone.now())
    sheets.answer(world.fresh(), question="where", given="everywhere", now=timezone.now())
    sheets.send(world.fresh(), now=timezone.now())
    visit = world.fresh()
    assert (visit.route, visit.route_asked, visit.at) == ("", routes.DO_NOT_RUN, "roller")
    assert visit.must_not_run
    assert not _plans_rollers(world)
    world.finds("pinking", "no")
    assert world.fresh().must_not_run == []
    assert _plans_rollers(world)


def test_a_do_not_run_machine_comes_to_the_rollers_by_repair_card_and_another_gate(world):
    world.is_here()
    world.finds("nipped", "yes")
    with pytest.raises(Refused, match="must not run"):
        steps.begin(world.roller(), by=world.mechanic, now=timezone.now(), station=1)
    causes.confirm(world.fresh(), fault="air-leak", by=world.mechanic, now=timezone.now())
    way_back.found_and_put_right(
        world.fresh(), question="nipped", words="New intake rubber fitted.", by=world.mechanic, now=timezone.now()
    )
    assert world.fresh().must_not_run == []
    with pytest.raises(Refused, match="has not passed the gate"):
        steps.begin(world.roller(), by=world.mechanic, now=timezone.now(), station=1)
    assert gate_ended(world.fresh(), by=world.mechanic, second_id=world.second.pk).passed
    assert steps.begin(world.roller(), by=world.mechanic, now=timezone.now(), station=1).began_at


def test_a_machine_that_left_without_being_put_right_comes_back_to_the_bench(world):
    world.is_here()
    world.finds("nipped", "yes")
    world.alter(state=states.COLLECTED)
    _posts_another_booking(world)
    assert Visit.objects.count() == 1
    check = garage.visit_kind(slug="bench-check", booked_as="bench", name="Bench check", at="bench", minutes=60)
    draft = booking.draft(check, world.later, machine_id=world.visit.machine_id)
    bench = bookings.book_at_the_desk(draft, by=world.boss, now=timezone.now())
    _posts_another_booking(world)
    assert Visit.objects.count() == 2
    Visit.objects.filter(pk=bench.pk).update(state=states.COLLECTED)
    visits.call_off(garage.visit(machine=world.visit.machine), why="", by=world.boss, now=timezone.now())
    world.later = booking.at_local(booking.workday(ahead=6), 14)
    _posts_another_booking(world)
    assert Visit.objects.count() == 4


def test_what_it_wants_stays_as_a_step_without_a_time(world):
    world.judged()
    world.stop(StopKind.MUST_NOT_RUN)
    judgements.act(latest(world.fresh()), by=world.boss, now=timezone.now())
    visit = world.fresh()
    assert (visit.route, visit.starts_at, visit.pieces.count()) == (routes.DO_NOT_RUN, None, 0)
    assert (world.roller().minutes, world.roller().what) == (90, "set-up")
    world.client.force_login(world.boss)
    page = world.client.get(reverse("visit", args=[visit.number])).text
    assert "It wants the rollers for set-up, 90 min: after the bench." in page
