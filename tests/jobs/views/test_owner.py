import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import get_args

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape

from diagnostics.core.judging.judgement import (
    BookedForTheBench,
    Cheapest,
    KeptOffTheRollers,
    RichPowerRun,
    RichSetUp,
    Stopped,
    Why,
)
from diagnostics.core.judging.judgement_json import to_json
from diagnostics.core.telling.judgement_words import reasons_for_the_workshop
from diagnostics.core.telling.owner_words import what_pointed
from diagnostics.models.judgements import KeptJudgement
from diagnostics.reads.bank import the_bank
from garage.changes.mail import links as link_changes
from garage.changes.visit import visits
from garage.core import routes, states
from garage.models.visits import Visit
from garage.reads import free, links
from garage.reads.shop import the_shop
from jobs.changes import cards, closing, invoices
from tests.diagnostics.core.telling.judged import judged as judged_case
from tests.factories import booking, garage, jobs
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db


def address(name, visit):
    return reverse(name, args=[links.token(visit, links.VISIT)])


def coming(**given):
    garage.shop()
    garage.person()
    return jobs.visit_here(**{"state": states.BOOKED, "arrived_at": None} | given)


def free_times(visit):
    asked = free.asked_by_owner(visit, the_shop())
    return [at for day in free.free_days(asked, now=timezone.now()) for at in day.times if at != visit.starts_at]


def test_the_owner_reads_state_time_and_what_comes_next(client):
    visit = coming()
    answer = client.get(address("owner-visit", visit))
    assert answer["Referrer-Policy"] == "no-referrer"
    for said in ("Your Corrick 185", "Booked", "Bring the machine at the time above", personal_address(visit, "sheet")):
        assert said in answer.text


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_every_state_has_a_page_for_its_owner_once_the_booking_is_confirmed(client, state):
    visit = jobs.visit_here(state=state)
    opens = state not in states.UNPROVEN
    assert client.get(address("owner-visit", visit)).status_code == (200 if opens else 410)


def test_a_link_opens_its_own_visit_only(client):
    visit, other = coming(), coming()
    token = links.token(visit, links.VISIT)
    assert f"visit {other.number}" not in client.get(reverse("owner-visit", args=[token])).text
    forged = links.token(other, links.VISIT).split(".")[0] + "." + token.split(".")[1]
    assert client.get(reverse("owner-visit", args=[forged])).status_code == 410
    assert client.get(reverse("owner-visit", args=[links.token(visit, links.SHEET)])).status_code == 410


def test_a_revoked_link_is_dead_on_every_page(client):
    visit = coming()
    pages = [address(name, visit) for name in ("owner-visit", "owner-call-off", "owner-move", "owner-invoice")]
    link_changes.revoke(visit, by=garage.boss(), now=timezone.now())
    assert [client.get(page).status_code for page in pages] == [410] * 4
    assert client.post(pages[1]).status_code == 410
    visit.refresh_from_db()
    assert visit.state == states.BOOKED


def test_looking_changes_nothing(client):
    visit = coming()
    before = Visit.objects.values().get(pk=visit.pk)
    for name in ("owner-visit", "owner-call-off", "owner-move"):
        assert client.get(address(name, visit)).status_code == 200
    assert Visit.objects.values().get(pk=visit.pk) == before


def test_an_owner_calls_off_after_a_page_that_asks(client):
    visit = coming()
    assert "Yes, call it off" in client.get(address("owner-call-off", visit)).text
    assert client.post(address("owner-call-off", visit), {"why": "the weather"}).status_code == 302
    visit.refresh_from_db()
    assert (visit.state, visit.called_off_why, visit.starts_at) == (states.CALLED_OFF, "the weather", None)
    again = client.post(address("owner-call-off", visit))
    assert again.status_code == 409
    assert "called off" in again.text


def test_a_reason_that_leads_somewhere_is_refused_and_kept(client):
    visit = coming(starts_at=garage.next_workday_at(10))
    answer = client.post(address("owner-call-off", visit), {"why": "see example.com/prize"})
    assert answer.status_code == 422
    assert "Leave out web and mail addresses" in answer.text
    assert 'value="see example.com/prize"' in answer.text
    visit.refresh_from_db()
    assert visit.state == states.BOOKED


def test_a_machine_that_is_here_is_not_called_off_by_link(client):
    visit = jobs.visit_here()
    assert client.post(address("owner-call-off", visit)).status_code == 409
    visit.refresh_from_db()
    assert visit.state == states.HERE


def test_an_owner_moves_to_a_free_time(client):
    visit = coming()
    chosen = free_times(visit)[0]
    assert chosen.isoformat() in client.get(address("owner-move", visit)).text
    assert client.post(address("owner-move", visit), {"starts_at": chosen.isoformat()}).status_code == 302
    visit.refresh_from_db()
    assert visit.starts_at == chosen


def test_an_owner_chooses_a_day_and_then_one_of_its_times(client):
    visit = coming()
    page = client.get(address("owner-move", visit))
    first, *others = page.context["days"]
    assert page.text.count('name="starts_at"') == sum(at != visit.starts_at for at in first.times)
    another = others[1].day
    assert f'href="{address("owner-move", visit)}?day={another}#day-{another}"' in page.text
    shown = client.get(address("owner-move", visit), {"day": another})
    assert others[1].times[0].isoformat() in shown.text


def test_an_owner_whose_time_was_taken_is_offered_the_nearest(client):
    visit = coming()
    at = free_times(visit)[4]
    booking.booked(visit.kind, at)
    answer = client.post(address("owner-move", visit), {"starts_at": at.isoformat()})
    assert answer.status_code == 409
    assert "Nearest free times" in answer.text


@pytest.mark.parametrize("typed", ["", "soon", "2026-13-45T00:00"])
def test_an_invalid_time_is_refused_and_the_free_ones_stay_on_the_page(client, typed):
    visit = coming()
    answer = client.post(address("owner-move", visit), {"starts_at": typed})
    assert answer.status_code == 422
    assert "Choose one of the times shown." in answer.text
    assert free_times(visit)[0].isoformat() in answer.text


def test_a_time_outside_opening_hours_is_refused(client):
    visit = coming()
    at = free_times(visit)[0].replace(hour=3, minute=0)
    assert client.post(address("owner-move", visit), {"starts_at": at.isoformat()}).status_code == 409
    before = visit.starts_at
    visit.refresh_from_db()
    assert visit.starts_at == before


def test_less_than_a_day_before_moving_is_talked_over(client):
    visit = coming(starts_at=timezone.now() + timedelta(hours=20))
    assert "less than a day away" in client.get(address("owner-move", visit)).text
    before = visit.starts_at
    assert (
        client.post(address("owner-move", visit), {"starts_at": free_times(visit)[-1].isoformat()}).status_code == 409
    )
    visit.refresh_from_db()
    assert visit.starts_at == before
    assert "less than a day away" in client.get(address("owner-visit", visit)).text


def test_findings_and_invoice_are_readable_once_the_card_is_closed(client):
    visit, by = jobs.visit_here(), garage.boss()
    cards.part(visit, words="Plug", quantity=Decimal(1), price_each=Decimal("3.00"), by=by, now=timezone.now())
    cards.found_cause(visit, fault="", words="loose earth", by=by, now=timezone.now())
    cards.looked_good(visit, fault="", words="the unit breaks down", by=by, now=timezone.now())
    assert "oose earth" not in client.get(address("owner-visit", visit)).text
    assert client.get(address("owner-invoice", visit)).status_code == 404
    closing.close_with_causes(visit, by=by, now=timezone.now())
    invoices.issue(visit, by=by, now=timezone.now())
    text = client.get(address("owner-visit", visit)).text
    assert "Loose earth" in text
    assert "Checked, and not the cause: the unit breaks down" in text
    assert "£3.00 left to pay" in text
    paper = client.get(address("owner-invoice", visit))
    assert paper["Content-Type"] == "application/pdf"
    assert paper["Referrer-Policy"] == "no-referrer"


def test_the_workshops_trail_and_notes_stay_in_the_workshop(client):
    visit, by = jobs.visit_here(), garage.boss(first_name="Maddy")
    cards.note(visit, what="note", words="owner is in a hurry", by=by, now=timezone.now())
    text = client.get(address("owner-visit", visit)).text
    assert "hurry" not in text
    assert "Maddy" not in text


def test_a_late_call_is_said_to_be_late_before_it_is_made(client):
    garage.shop(cancel_words="After that we keep the deposit.")
    visit = coming(starts_at=timezone.now() + timedelta(hours=20))
    garage.shop(cancel_words="After that we keep the deposit.")
    page = client.get(address("owner-call-off", visit)).text
    assert "It is less than a day before your time, which counts as late.</b> After that we keep the deposit." in page
    assert "counts as late" not in client.get(address("owner-call-off", coming())).text


def test_an_owner_whose_visit_the_workshop_put_off_picks_a_time(client):
    visit = coming()
    visits.put_off(visit, why="The roller is down.", by=garage.boss(), now=timezone.now())
    assert address("owner-time", visit) in client.get(address("owner-visit", visit)).text
    at = free.free_days(free.asked_anew(visit, the_shop()), count=1, now=timezone.now())[0].times[0]
    assert client.post(address("owner-time", visit), {"starts_at": at.isoformat()}).status_code == 302
    visit.refresh_from_db()
    assert visit.starts_at == at
    assert address("owner-time", visit) not in client.get(address("owner-visit", visit)).text


def test_the_workshop_knows_that_a_warning_was_read_once_the_page_is_opened(client):
    visit = coming(must_not_run=["It has nipped up."])
    client.head(address("owner-visit", visit))
    assert Visit.objects.get().page_opened_at is None
    client.get(address("owner-visit", visit))
    assert Visit.objects.get().page_opened_at is not None


WHYS = {
    Stopped: Stopped(("pinking=yes",)),
    KeptOffTheRollers: KeptOffTheRollers(("remarks=not-run-in",), by_pence=1234.0, next_route=routes.PHONE_FIRST),
    BookedForTheBench: BookedForTheBench(),
    RichSetUp: RichSetUp(0.83),
    RichPowerRun: RichPowerRun(0.83),
    Cheapest: Cheapest(1234.0, routes.ROLLER_READY),
}


@pytest.mark.parametrize("route", routes.WORDS)
@pytest.mark.parametrize("kind", get_args(Why))
def test_the_owner_reads_what_pointed_to_the_route_and_no_figure_of_the_workshops(client, kind, route):
    visit = coming(route=route, price=Decimal("95.00"))
    why = WHYS[kind]
    judged = replace(judged_case(rev_out="ceiling", damp="yes", pinking="yes"), why=why, route=route)
    workshop = reasons_for_the_workshop(the_bank(), judged)
    Visit.objects.update(route_reasons=workshop)
    KeptJudgement.objects.create(
        visit=visit, at=timezone.now(), edition="any", case={}, route=route, result=to_json(judged)
    )
    page = client.get(address("owner-visit", visit)).text
    said = page[page.index('id="now"') : page.index("</section>", page.index('id="now"'))]
    assert not re.search(r"%|£|\d ?p\b|pence|pounds|chance|points (a little|clearly|strongly)|cheaper|costs", said)
    assert not any(escape(line) in said for line in workshop)
    pointed = what_pointed(the_bank(), judged)
    assert [escape(line) in said for line in pointed] == [route != routes.ROLLER_READY] * len(pointed)


def test_a_route_by_a_persons_word_or_still_asked_about_is_not_blamed_on_the_answers(client):
    visit = coming(route=routes.FIX_FIRST, route_reasons=["The boss says so."])
    judged = judged_case(pinking="yes")
    kept = KeptJudgement.objects.create(
        visit=visit, at=timezone.now(), edition="any", case={}, route=judged.route, result=to_json(judged)
    )
    assert "What you told us" not in client.get(address("owner-visit", visit)).text
    Visit.objects.update(route=kept.route)
    assert "What you told us" in client.get(address("owner-visit", visit)).text
    Visit.objects.update(route_asked=routes.FIX_FIRST)
    assert "What you told us" not in client.get(address("owner-visit", visit)).text
