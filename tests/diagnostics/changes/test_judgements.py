from decimal import Decimal

import pytest
from django.utils import timezone

from diagnostics.changes import judgements, sheets
from diagnostics.models.judgements import Acted
from diagnostics.pages.outcome import outcome_page
from diagnostics.reads.judgement import latest
from garage.changes.shop import kinds
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.core.time.local_time import LocalTime
from garage.models.messages import Message
from garage.models.visits import SoldPiece, Step
from garage.reads.routed import asked_of_the_boss, to_fix_first, to_ring
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, PINKING, answered

pytestmark = pytest.mark.django_db
MERELY_RICH = HEALTHY | {
    "trouble": "four-strokes",
    "where": "top",
    "changed": ["jets-bigger"],
    "rev_out": "smoky",
    "plug": "black-dry",
    "half_choke": "worse",
}


def visit_of(kind=None, **shop):
    garage.shop(**shop)
    machine = garage.machine(kind=garage.machine_kind())
    visit = garage.visit(machine=machine, kind=kind, deposit=Decimal("30"), deposit_paid=Decimal("30"))
    if visit.at == "roller":
        SoldPiece.objects.create(at="roller", place=1, begins_at=visit.starts_at, visit=visit)
    return visit


def sent(visit, answers):
    answered(visit, answers)
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    return latest(visit)


def mails(visit):
    return list(Message.objects.filter(visit=visit).order_by("id").values_list("what", flat=True))


def test_a_ready_machine_keeps_its_slot_and_its_owner_is_told():
    visit = visit_of()
    sent(visit, HEALTHY)
    assert (visit.route, visit.state, visit.at) == (routes.ROLLER_READY, states.BOOKED, "roller")
    assert mails(visit) == ["sheet_outcome_ready"]
    assert visit.ready_chance > 0.5


def test_fix_first_gives_the_slot_back_where_the_shop_lets_it_act_alone():
    visit = visit_of(fix_first_acts_alone=True)
    judgement = sent(visit, FALSE_CEILING)
    assert judgement.route == routes.FIX_FIRST
    assert (visit.state, visit.starts_at, visit.at) == (states.TO_PUT_RIGHT, None, "")
    assert not SoldPiece.objects.exists()
    assert list(to_fix_first()) == [visit]
    assert visit.route_reasons
    assert visit.bench_minutes == Step.objects.get(visit=visit, what="fix first").minutes
    assert visit.bench_minutes % 5 == 0
    told = Message.objects.get(visit=visit)
    assert told.what == "sheet_outcome_fix_first"
    assert "Your deposit of £30.00 is kept as credit" in " ".join(told.text.split())
    assert "%" not in told.text  # no bare probability as a diagnosis


def test_the_time_given_back_leaves_the_owners_diary_and_page():
    visit = visit_of(fix_first_acts_alone=True)
    had = LocalTime.named("Europe/London").in_words(visit.starts_at)
    sent(visit, FALSE_CEILING)
    told = Message.objects.get(visit=visit)
    content = bytes(told.enclosures.get().content).decode()
    assert "METHOD:CANCEL" in content
    assert f"UID:{visit.calendar_uid}" in content
    assert f"SEQUENCE:{visit.calendar_sequence}" in content
    assert visit.calendar_sequence == 1
    assert had not in told.text


def test_the_boss_is_asked_first_unless_the_shop_says_otherwise():
    visit = visit_of()
    judgement = sent(visit, FALSE_CEILING)
    assert (visit.route, visit.route_asked) == ("", routes.FIX_FIRST)
    assert visit.starts_at is not None
    assert SoldPiece.objects.count() == 1
    assert list(asked_of_the_boss()) == [visit]
    assert mails(visit) == []
    assert "You keep your time on the rollers for now." in outcome_page(visit).outcome.slot
    judgements.act(judgement, by=garage.boss(), now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked, visit.starts_at) == (routes.FIX_FIRST, "", None)
    assert mails(visit) == ["sheet_outcome_fix_first"]
    assert "is given back" in outcome_page(visit).outcome.slot


def test_do_not_run_warns_at_once_though_the_slot_waits_for_the_boss():
    visit = visit_of()
    judgement = sent(visit, PINKING)
    assert (visit.route_asked, visit.starts_at is not None) == (routes.DO_NOT_RUN, True)
    warning = Message.objects.get(visit=visit)
    assert warning.what == "sheet_outcome_do_not_run"
    assert "on a trailer" in warning.text
    assert "rattle or pink under load? Yes." in warning.text
    judgements.act(judgement, by=garage.boss(), now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.state, visit.starts_at) == (routes.DO_NOT_RUN, states.TO_PUT_RIGHT, None)
    assert visit.ready_chance == 0
    assert list(to_fix_first()) == [visit]
    assert mails(visit) == ["sheet_outcome_do_not_run"] * 2  # the second tells what became of the time


def test_do_not_run_acts_on_its_own_if_the_shop_says_so():
    visit = visit_of(do_not_run_acts_alone=True)
    sent(visit, PINKING)
    assert (visit.route, visit.starts_at) == (routes.DO_NOT_RUN, None)
    assert mails(visit) == ["sheet_outcome_do_not_run"]


def test_phone_first_keeps_the_slot_and_says_what_to_ask():
    kind = garage.visit_kind(slug="power-run", booked_as="power-run", name="Power run")
    visit = visit_of(kind, phone_first_acts_alone=True)
    judgement = sent(visit, MERELY_RICH)
    assert judgement.route == routes.PHONE_FIRST  # manual of `assess`: rich on a power run, offer a set-up
    assert visit.starts_at is not None
    assert list(to_ring()) == [visit]
    assert visit.to_ask[0].startswith("Offer a set-up")
    assert mails(visit) == ["sheet_outcome_phone_first"]


def test_a_bench_visit_keeps_its_bench_time():
    kind = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = visit_of(kind, fix_first_acts_alone=True)
    sent(visit, HEALTHY)
    assert (visit.route, visit.at, visit.state) == (routes.FIX_FIRST, "bench", states.BOOKED)
    assert visit.starts_at is not None


def test_a_person_may_send_it_another_way_with_a_reason():
    visit = visit_of()
    judgement, boss = sent(visit, FALSE_CEILING), garage.boss()
    with pytest.raises(BadInput, match="reason"):
        judgements.act_otherwise(judgement, by=boss, now=timezone.now(), route=routes.PHONE_FIRST, why=" ")
    judgements.act_otherwise(judgement, by=boss, now=timezone.now(), route=routes.PHONE_FIRST, why="knows him")
    visit.refresh_from_db()
    assert (visit.route, visit.starts_at is not None) == (routes.PHONE_FIRST, True)
    assert Acted.objects.get().why == "knows him"


def test_a_machine_that_must_not_be_run_is_never_sent_to_the_rollers():
    visit = visit_of()
    judgement, boss = sent(visit, PINKING), garage.boss()
    with pytest.raises(Refused, match="keeps no roller time"):
        judgements.act_otherwise(judgement, by=boss, now=timezone.now(), route=routes.ROLLER_READY, why="looks fine")
    assert not Acted.objects.exists()
    judgements.act(judgement, by=boss, now=timezone.now())
    assert Acted.objects.get().route == routes.DO_NOT_RUN


def test_a_judgement_is_acted_upon_once_and_only_while_it_is_the_newest():
    visit = visit_of()
    old, boss = sent(visit, FALSE_CEILING), garage.boss()
    sheets.answer(visit, question="damp", given="yes", now=timezone.now())
    with pytest.raises(Refused, match="have changed since"):
        judgements.act(old, by=boss, now=timezone.now())
    judgements.act(latest(visit), by=boss, now=timezone.now())
    with pytest.raises(Refused, match="already settled"):
        judgements.act(latest(visit), by=boss, now=timezone.now())


def test_a_judgement_set_aside_moves_nothing_and_names_who_did_it():
    visit = visit_of()
    judgement, boss = sent(visit, FALSE_CEILING), garage.boss()
    with pytest.raises(BadInput, match="reason"):
        judgements.leave(judgement, by=boss, now=timezone.now(), why=" ")
    judgements.leave(judgement, by=boss, now=timezone.now(), why="I rang him")
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked, visit.starts_at is not None) == ("", "", True)
    assert Acted.objects.get().by == boss


def test_a_sheet_sent_again_asks_the_boss_before_a_route_is_changed():
    visit = visit_of(fix_first_acts_alone=True)
    sent(visit, FALSE_CEILING)
    assert visit.route == routes.FIX_FIRST
    sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())
    for question, answer in (("came_on", "unsure"), ("trouble", "none")):
        sheets.answer(visit, question=question, given=answer, now=timezone.now())
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    assert latest(visit).route == routes.ROLLER_READY
    assert (visit.route, visit.route_asked) == (routes.FIX_FIRST, routes.ROLLER_READY)


def test_the_same_sheet_sent_twice_writes_one_mail():
    visit = visit_of(fix_first_acts_alone=True)
    sent(visit, FALSE_CEILING)
    sheets.send(visit, now=timezone.now())
    assert mails(visit) == ["sheet_outcome_fix_first"]


def test_a_change_of_the_machines_or_its_kinds_measures_is_judged_again():
    visit, boss = visit_of(), garage.boss()
    answered(visit, HEALTHY, strobe_peak=21)
    assert latest(visit).route == routes.DO_NOT_RUN  # more than 3 degrees over the kind's 17: manual of `assess`
    measures = dict.fromkeys(kinds_measures())
    kinds.measure_machine(visit.machine, by=boss, now=timezone.now(), **measures | {"spec_btdc": Decimal("20")})
    assert latest(visit).case["machine"]["spec_btdc"] == 20
    assert latest(visit).route != routes.DO_NOT_RUN
    assert latest(garage.visit()) is None  # what was never judged is not


def kinds_measures():
    return ["stroke_mm", "rod_mm", "flywheel_mm", "spec_btdc", "curve_deg", "design_rpm", "fires_per_turn"]


@pytest.mark.parametrize(("slot_lost", "route"), [(10, routes.ROLLER_READY), (9000, routes.FIX_FIRST)])
def test_the_costs_of_the_shop_price_the_routes(slot_lost, route):
    visit = visit_of(slot_lost_pence=slot_lost, bench_check_pence=2500, call_pence=600)
    assert sent(visit, FALSE_CEILING).route == route
