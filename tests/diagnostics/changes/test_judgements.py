import re
from decimal import Decimal
from html import unescape

import pytest
from django.utils import timezone

from diagnostics.changes import judgements, routing, sheets
from diagnostics.models.judgements import Acted
from diagnostics.pages.outcome import outcome_page
from diagnostics.reads.bank import the_bank
from diagnostics.reads.bench_cost import bench_time_of
from diagnostics.reads.case import visit_case
from diagnostics.reads.judgement import latest
from garage.changes.shop import kinds
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.actors import SYSTEM
from garage.models.messages import Message
from garage.models.visits import SoldPiece, Visit
from garage.reads.routed import asked_of_the_boss, to_fix_first
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import (
    FALSE_CEILING,
    HEALTHY,
    MERELY_RICH,
    PINKING,
    answered,
    mails_about,
    sheet_sent,
    visit_to_judge,
)
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_a_ready_machine_keeps_its_slot_and_its_owner_is_told():
    visit = visit_to_judge()
    sheet_sent(visit, HEALTHY)
    assert (visit.route, visit.state, visit.at) == (routes.ROLLER_READY, states.BOOKED, "roller")
    assert mails_about(visit) == ["sheet_outcome_ready"]
    assert visit.ready_chance > 0.5


COSTS = (
    r"Bench work to find and mend it: £\d+ to £\d+ at £54 an hour, parts extra\. We ring you before it goes over "
    r"(£120|the £80 you agreed to)\."
)


@pytest.mark.parametrize(("agreed", "limit"), [(None, "£120"), (80, "the £80 you agreed to")])
def test_the_mail_and_the_page_say_what_the_bench_work_costs_up_to_the_limit(agreed, limit):
    visit = visit_to_judge(fix_first_acts_alone=True, labour_per_hour=Decimal("54"))
    Visit.objects.update(bench_limit_pounds=agreed)
    visit.refresh_from_db()
    sheet_sent(visit, FALSE_CEILING)
    told = Message.objects.get(visit=visit)
    said = re.search(COSTS, " ".join(told.text.split()))
    assert said
    assert said[1] == limit
    assert said[0] == outcome_page(visit, the_shop()).cost
    assert said[0] in unescape(told.html)


@pytest.mark.parametrize("answers", [HEALTHY, MERELY_RICH])
def test_where_the_bench_is_not_asked_for_nothing_is_said_of_its_cost(answers):
    visit = visit_to_judge(phone_first_acts_alone=True)
    sheet_sent(visit, answers)
    assert "Bench work" not in Message.objects.get(visit=visit).text
    assert outcome_page(visit, the_shop()).cost == ""


def test_the_boss_is_asked_first_unless_the_shop_says_otherwise():
    visit = visit_to_judge()
    judgement = sheet_sent(visit, FALSE_CEILING)
    assert (visit.route, visit.route_asked) == ("", routes.FIX_FIRST)
    assert visit.starts_at is not None
    assert SoldPiece.objects.count() == 1
    assert list(asked_of_the_boss()) == [visit]
    assert mails_about(visit) == []
    assert "You keep your time on the rollers for now." in outcome_page(visit, the_shop()).outcome.slot
    judgements.act(judgement, by=garage.boss(), now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked, visit.starts_at) == (routes.FIX_FIRST, "", None)
    assert mails_about(visit) == ["sheet_outcome_fix_first"]
    assert "is given back" in outcome_page(visit, the_shop()).outcome.slot


def test_do_not_run_warns_at_once_though_the_slot_waits_for_the_boss():
    visit = visit_to_judge()
    judgement = sheet_sent(visit, PINKING)
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
    assert mails_about(visit) == ["sheet_outcome_do_not_run"] * 2  # the second tells what became of the time


def test_whose_time_is_on_the_bench_is_warned_once_and_not_again_when_the_boss_agrees():
    visit = visit_to_judge()
    Visit.objects.filter(pk=visit.pk).update(
        kind=garage.visit_kind(booked_as="bench", at="bench", slug="b"), at="bench"
    )
    visit.refresh_from_db()
    judgement = sheet_sent(visit, PINKING)
    assert (visit.route_asked, mails_about(visit)) == (routes.DO_NOT_RUN, ["sheet_outcome_do_not_run"])
    judgements.act(judgement, by=garage.boss(), now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.starts_at is not None) == (routes.DO_NOT_RUN, True)
    assert mails_about(visit) == ["sheet_outcome_do_not_run"]


def test_a_person_may_send_it_another_way_with_a_reason():
    visit = visit_to_judge()
    judgement, boss = sheet_sent(visit, FALSE_CEILING), garage.boss()
    with pytest.raises(BadInput, match="reason"):
        judgements.act_otherwise(judgement, by=boss, now=timezone.now(), route=routes.PHONE_FIRST, why=" ")
    judgements.act_otherwise(judgement, by=boss, now=timezone.now(), route=routes.PHONE_FIRST, why="knows him")
    visit.refresh_from_db()
    assert (visit.route, visit.starts_at is not None) == (routes.PHONE_FIRST, True)
    assert Acted.objects.get().why == "knows him"


def test_a_machine_that_must_not_be_run_is_never_sent_to_the_rollers():
    visit = visit_to_judge()
    judgement, boss = sheet_sent(visit, PINKING), garage.boss()
    with pytest.raises(Refused, match="gets no roller time"):
        judgements.act_otherwise(judgement, by=boss, now=timezone.now(), route=routes.ROLLER_READY, why="looks fine")
    assert not Acted.objects.exists()
    judgements.act(judgement, by=boss, now=timezone.now())
    assert Acted.objects.get().route == routes.DO_NOT_RUN


def test_a_judgement_is_acted_upon_once_and_only_while_it_is_the_newest():
    visit = visit_to_judge()
    old, boss = sheet_sent(visit, FALSE_CEILING), garage.boss()
    sheets.answer(visit, question="damp", given="yes", now=timezone.now())
    with pytest.raises(Refused, match="have changed since"):
        judgements.act(old, by=boss, now=timezone.now())
    judgements.act(latest(visit), by=boss, now=timezone.now())
    with pytest.raises(Refused, match="already settled"):
        judgements.act(latest(visit), by=boss, now=timezone.now())


def test_a_judgement_set_aside_moves_nothing_and_names_who_did_it():
    visit = visit_to_judge()
    judgement, boss = sheet_sent(visit, FALSE_CEILING), garage.boss()
    with pytest.raises(BadInput, match="reason"):
        judgements.leave(judgement, by=boss, now=timezone.now(), why=" ")
    judgements.leave(judgement, by=boss, now=timezone.now(), why="I rang him")
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked, visit.starts_at is not None) == ("", "", True)
    assert Acted.objects.get().by == boss


def test_a_sheet_sent_again_asks_the_boss_before_a_route_is_changed():
    visit = visit_to_judge(fix_first_acts_alone=True)
    sheet_sent(visit, FALSE_CEILING)
    assert visit.route == routes.FIX_FIRST
    sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())
    for question, answer in (("came_on", "unsure"), ("trouble", "none")):
        sheets.answer(visit, question=question, given=answer, now=timezone.now())
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    assert latest(visit).route == routes.ROLLER_READY
    assert (visit.route, visit.route_asked) == (routes.FIX_FIRST, routes.ROLLER_READY)


def test_the_same_sheet_sent_twice_writes_one_mail():
    visit = visit_to_judge(fix_first_acts_alone=True)
    sheet_sent(visit, FALSE_CEILING)
    sheets.send(visit, now=timezone.now())
    assert mails_about(visit) == ["sheet_outcome_fix_first"]


def test_a_change_of_the_machines_or_its_kinds_measures_is_judged_again():
    visit, boss = visit_to_judge(), garage.boss()
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
    visit = visit_to_judge(slot_lost_pence=slot_lost, bench_check_pence=2500, call_pence=600)
    assert sheet_sent(visit, FALSE_CEILING).route == route


def _settled(visit, kept, *, route, why, by, now):
    """That the judgement was settled like this, and only this one."""
    row = Acted.objects.get()
    assert (row.judgement, row.at, row.by, row.route, row.why) == (kept, now, by, route, why)


def test_a_judgement_is_kept_whole_and_acted_on_by_a_named_person():
    visit, boss, now = visit_to_judge(), garage.boss(), timezone.now()
    kept = sheet_sent(visit, FALSE_CEILING)
    assert (kept.visit, kept.edition, kept.learned, kept.route) == (visit, the_bank().edition, None, "fix-first")
    assert kept.case == visit_case(visit).values
    judgements.act(kept, by=boss, now=now)
    _settled(visit, kept, route="fix-first", why="", by=boss, now=now)
    visit.refresh_from_db()
    check_noted("routed: fix first", by=boss, at=now, visit=visit, reasons=routing.reasons(kept.judgement))
    assert Message.objects.get().written_at == now
    assert (visit.ready_chance, visit.route_at) == (kept.judgement.ready_chance, now)
    assert visit.bench_minutes == bench_time_of(kept.judgement).planned


def test_another_way_is_noted_with_its_reason_and_in_the_name_of_the_person():
    visit, boss, now = visit_to_judge(), garage.boss(), timezone.now()
    kept = sheet_sent(visit, FALSE_CEILING)
    judgements.act_otherwise(kept, route=routes.PHONE_FIRST, why=f" {'x' * 201} ", by=boss, now=now)
    _settled(visit, kept, route=routes.PHONE_FIRST, why="x" * 200, by=boss, now=now)
    check_noted("routed: phone first", by=boss, at=now, visit=visit, reasons=routing.reasons(kept.judgement))
    assert mails_about(visit) == ["sheet_outcome_phone_first"]


def test_the_judged_way_needs_no_reason_and_a_stopped_machine_may_be_put_right_first():
    visit, boss, now = visit_to_judge(), garage.boss(), timezone.now()
    kept = sheet_sent(visit, PINKING)
    judgements.act_otherwise(kept, route=routes.FIX_FIRST, why="only the timing", by=boss, now=now)
    assert Acted.objects.get().route == routes.FIX_FIRST
    other = visit_to_judge()
    kept = sheet_sent(other, FALSE_CEILING)
    judgements.act_otherwise(kept, route=routes.FIX_FIRST, why="", by=boss, now=now)
    assert Acted.objects.last().route == routes.FIX_FIRST


def test_a_sheet_that_acts_alone_acts_in_no_persons_name():
    visit, now = visit_to_judge(fix_first_acts_alone=True), timezone.now()
    answered(visit, FALSE_CEILING)
    kept = judgements.judge_again(visit, now=now)
    judgements.act_on_the_sheet(kept, now=now)
    _settled(visit, kept, route=routes.FIX_FIRST, why="", by=None, now=now)
    visit.refresh_from_db()
    check_noted("routed: fix first", by=SYSTEM, at=now, visit=visit, reasons=routing.reasons(kept.judgement))
    with refuses("This judgement was already settled, by the sheet itself. Change a finding to get a new one."):
        judgements.act(kept, by=garage.boss(), now=now)


def test_the_boss_is_asked_with_the_reasons_and_warned_of_once():
    visit, now = visit_to_judge(), timezone.now()
    answered(visit, PINKING)
    kept = judgements.judge_again(visit, now=now)
    for _ in range(2):
        judgements.act_on_the_sheet(kept, now=now)
    check_noted("the boss is asked: do not run?", by=SYSTEM, at=now, visit=visit)
    visit.refresh_from_db()
    assert (visit.route_asked, visit.route_reasons) == (routes.DO_NOT_RUN, routing.reasons(kept.judgement))
    assert Message.objects.get().written_at == now
    assert not Acted.objects.exists()


def test_a_judgement_set_aside_is_noted_with_its_reason():
    visit, boss, now = visit_to_judge(), garage.boss(), timezone.now()
    kept = sheet_sent(visit, FALSE_CEILING)
    judgements.leave(kept, by=boss, now=now, why=" I rang him ")
    _settled(visit, kept, route="", why="I rang him", by=boss, now=now)
    check_noted("set aside the judgement fix first: I rang him", by=boss, at=now, visit=visit)


def test_each_refusal_to_route_says_why():
    visit, boss, now = visit_to_judge(), garage.boss(first_name="Bo"), timezone.now()
    kept = sheet_sent(visit, PINKING)
    words = "roller-ready, fix first, phone first, do not run"
    with refuses(f"The route is 'nowhere'; allowed is {words}.", BadInput):
        judgements.act_otherwise(kept, route="nowhere", why="so", by=boss, now=now)
    with refuses("The reason is missing; allowed is why it takes a different route.", BadInput):
        judgements.act_otherwise(kept, route=routes.FIX_FIRST, why=" ", by=boss, now=now)
    for route in (routes.ROLLER_READY, routes.PHONE_FIRST):
        with refuses(
            f"Visit {visit.number} must not run. Does it rattle or pink under load? Yes. It gets no roller time until "
            "the bench has looked at it: give it time at the bench, and the rollers come after that."
        ):
            judgements.act_otherwise(kept, route=route, why="so", by=boss, now=now)
    with refuses("The reason is missing; allowed is why it is left as it is.", BadInput):
        judgements.leave(kept, by=boss, now=now, why=" ")
    judgements.act(kept, by=boss, now=now)
    settled = "This judgement was already settled, by Bo. Change a finding to get a new one."
    for change in (
        lambda: judgements.act(kept, by=boss, now=now),
        lambda: judgements.act_otherwise(kept, route=routes.FIX_FIRST, why="so", by=boss, now=now),
        lambda: judgements.leave(kept, by=boss, now=now, why="so"),
    ):
        with refuses(settled):
            change()
    sheets.answer(visit, question="damp", given="yes", now=timezone.now())
    with refuses("The findings have changed since: look at the new judgement."):
        judgements.act(kept, by=boss, now=now)
    Visit.objects.filter(pk=visit.pk).update(state=states.COLLECTED)
    with refuses(f"Visit {visit.number} is collected: it can no longer be routed."):
        judgements.act(latest(visit), by=boss, now=now)


def test_what_was_heard_acts_only_once_the_sheet_was_sent_and_while_the_machine_is_still_to_come():
    visit = visit_to_judge(fix_first_acts_alone=True)
    answered(visit, FALSE_CEILING)
    judgements.judge_what_was_heard(visit, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked) == ("", "")
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    assert visit.route == routes.FIX_FIRST
    Visit.objects.update(state=states.HERE, arrived_at=timezone.now(), route="", route_asked="")
    visit.refresh_from_db()
    judgements.judge_what_was_heard(visit, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked) == ("", "")
