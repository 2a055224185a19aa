"""The registry: every place that a guide names is there, and every guide can be reached from somewhere."""

import pytest

from diagnostics.core.guides.guides import (
    GUIDES,
    guide_at,
    guides_for_mail,
    guides_for_question,
    guides_for_route,
    guides_for_step,
)
from diagnostics.reads.bank import the_bank
from garage.core import routes
from tests.rules.tree import ROOT

EACH = [pytest.param(guide, id=guide.slug) for guide in GUIDES]


def test_every_guide_has_an_address_of_its_own():
    assert len({guide.slug for guide in GUIDES}) == len(GUIDES)
    assert all(guide_at(guide.slug) is guide for guide in GUIDES)
    assert guide_at("no-such-guide") is None


@pytest.mark.parametrize("guide", EACH)
def test_what_a_guide_tells_is_one_sentence(guide):
    assert guide.tells.endswith(".")
    assert guide.tells.count(". ") == 0


@pytest.mark.parametrize("guide", EACH)
def test_the_places_that_lead_to_a_guide_are_there(guide):
    bank = the_bank()
    assert set(guide.questions) <= {question.id for question in bank.questions}
    assert set(guide.steps) <= {step.id for step in bank.steps}
    assert set(guide.routes) <= set(routes.WORDS)
    assert all((ROOT / "templates/mail" / mail).is_dir() for mail in guide.mails)


@pytest.mark.parametrize("guide", EACH)
def test_each_place_finds_the_guide_back(guide):
    assert all(guide in guides_for_question(question) for question in guide.questions)
    assert all(guide in guides_for_step(step) for step in guide.steps)
    assert all(guide in guides_for_route(route) for route in guide.routes)
    assert all(guide in guides_for_mail(mail) for mail in guide.mails)


@pytest.mark.parametrize("guide", EACH)
def test_a_guide_is_reached_from_more_than_the_list(guide):
    assert guide.questions or guide.steps or guide.routes or guide.mails
