"""An owner answers while the desk does, or while the price changes: one answer stands, and never to the old price."""

from __future__ import annotations

import pytest

from tests import servers

pytestmark = pytest.mark.long

SET_UP = """
from decimal import Decimal
from django.utils import timezone
from jobs.changes import consents
from tests.factories import garage, jobs
by = garage.boss()
visit = jobs.card(by=by).visit
consents.ask(visit, words="A new chain", price=Decimal("85.00"), by=by, now=timezone.now())
"""
BEGIN = """
from decimal import Decimal
from django.utils import timezone
from garage.core.errors import Refused
from garage.models.people import Person
from jobs.changes import consents
from jobs.models.consents import Consent
consent, by = Consent.objects.get(), Person.objects.get(role="boss")
together()
try:
    {does}
    print("DONE")
except Refused:
    print("REFUSED")
"""
ANSWER = 'consents.answer_by_owner(consent, answer="{answer}", now=timezone.now())'
ANEW = 'consents.ask_anew(consent, words="Chain, sprocket", price=Decimal("140.00"), by=by, now=timezone.now())'


def _at_once(garage, *does):
    garage.shell(SET_UP)
    said = garage.at_once([BEGIN.format(does=one) for one in does])
    return [words.split()[-1] for words in said]


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_of_yes_and_no_at_once_one_stands_and_the_same_word_twice_is_one_answer(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        yes, no = ANSWER.format(answer="yes"), ANSWER.format(answer="no")
        said = _at_once(garage, yes, yes, no)
        answers = garage.rows("select answer from jobs_consent")
        assert answers in ([("yes",)], [("no",)])
        assert said == (["DONE", "DONE", "REFUSED"] if answers == [("yes",)] else ["REFUSED", "REFUSED", "DONE"])
        assert garage.rows("select count(*) from garage_trailrow where did like 'the owner said%'") == [(1,)]


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_a_price_changed_while_the_owner_answers_is_either_answered_or_asked_anew(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        said = _at_once(garage, ANSWER.format(answer="yes"), ANEW)
        assert sorted(said) == ["DONE", "REFUSED"]
        rows = garage.rows("select cast(price as integer), answer from jobs_consent order by id")
        assert rows == ([(85, "yes")] if said[0] == "DONE" else [(85, ""), (140, "")])
