"""Every place that the registry names leads to its guides, and none to a test that its owner must not do."""

import pytest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.core.bench.outcomes import StepLeft
from diagnostics.core.guides.guides import GUIDES, guide_at, guides_for_mail, guides_for_question, guides_for_route
from diagnostics.pages.bench import StepLine
from garage.changes.mail import notices
from garage.models.messages import Message
from garage.reads import links
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.factories.diagnostics import FALSE_CEILING, PINKING, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop(fix_first_acts_alone=True, do_not_run_acts_alone=True)
    garage.person()
    garage.person()
    visit = booking.booked(garage.visit_kind(), booking.at_local(booking.workday(ahead=5), 10))
    visit.machine.kind = garage.machine_kind()
    visit.machine.save()
    return visit


def slugs(guides):
    return {guide.slug for guide in guides}


def linked(text):
    return {guide.slug for guide in GUIDES if reverse("guide", args=[guide.slug]) in text}


def outcome_of(visit, answers, client):
    answered(visit, answers)
    sheets.send(visit, now=timezone.now())
    return client.get(reverse("sheet-outcome", args=[links.token(visit, links.SHEET)])).text


def test_the_front_page_leads_to_every_guide(client):
    garage.shop()
    assert linked(client.get(reverse("front")).text) == slugs(GUIDES)


def test_every_page_leads_to_the_list(client):
    assert f'href="{reverse("guides")}"' in client.get(reverse("privacy")).text


@pytest.mark.parametrize("question", ["changed", "rev_out", "strobe_peak"])
def test_a_question_of_the_sheet_leads_to_the_guides_that_teach_it(client, visit, question):
    answered(visit, {key: FALSE_CEILING[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    text = client.get(reverse("sheet-question", args=[links.token(visit, links.SHEET), question])).text
    assert linked(text) == slugs(guides_for_question(question))


def test_a_test_that_must_not_be_done_is_not_taught_on_its_page(client, visit):
    answered(visit, {key: PINKING[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    text = client.get(reverse("sheet-question", args=[links.token(visit, links.SHEET), "rev_out"])).text
    assert "Please don’t do this test" in text
    assert linked(text) == set()


def test_the_outcome_and_its_mail_lead_to_the_guides_for_its_route(client, visit):
    text = outcome_of(visit, FALSE_CEILING, client)
    assert linked(text) == slugs(guides_for_route("fix-first"))
    mail = Message.objects.get(what="sheet_outcome_fix_first")
    assert linked(mail.text) == linked(mail.html) == slugs(guides_for_mail(mail.what))


def test_who_must_not_run_it_is_led_to_no_guide_that_revs_it_up(client, visit):
    text = outcome_of(visit, PINKING, client)
    mail = Message.objects.get(what="sheet_outcome_do_not_run")
    shown = linked(text) | linked(mail.text) | linked(mail.html)
    assert shown
    assert not any(guide_at(slug).opens_throttle for slug in shown)


def test_no_guide_that_revs_it_up_stands_for_a_machine_that_must_not_run():
    led_to = (*guides_for_route("do-not-run"), *guides_for_mail("sheet_outcome_do_not_run"))
    assert led_to
    assert not any(guide.opens_throttle for guide in led_to)


def test_the_mail_of_a_booking_leads_to_what_to_bring(visit):
    notices.booked(visit, the_shop(), now=timezone.now())
    mail = Message.objects.filter(what="visit_booked").last()
    assert linked(mail.text) == linked(mail.html) == slugs(guides_for_mail("visit_booked")) == {"before-you-come"}


@pytest.mark.parametrize("guide", [guide for guide in GUIDES if guide.steps], ids=lambda guide: guide.slug)
def test_a_step_of_the_bench_leads_to_its_guides(guide):
    for step in guide.steps:
        line = StepLine(1, StepLeft(step, "Do it", 5, 0.5, ()), (), ())
        text = render_to_string("parts/_bench_steps.html", {"steps": [line], "number": 1, "csrf_token": "x"})
        assert guide.slug in linked(text)
