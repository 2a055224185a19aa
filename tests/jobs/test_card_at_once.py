"""Two hands at one card at the same moment, on both databases: what the owner is asked, the last part in stock, and
an estimate that is issued, answered and turned into lines.
"""

from __future__ import annotations

import pytest

from tests import servers

pytestmark = pytest.mark.long

SET_UP = """
from decimal import Decimal
from django.utils import timezone
from jobs.changes import consents, estimate_answers, estimates, parts
from tests.factories import garage, jobs
by, now = garage.boss(), timezone.now()
for _ in range(2):
    visit = jobs.card(by=by).visit
    consents.ask(visit, words="A new chain", price=Decimal("85.00"), by=by, now=now)
given = dict(place="Shelf 2", supplier="", price_each=Decimal("4.50"), count=Decimal(5))
parts.add(words="Main jet 98", by=by, now=now, **given)
for _ in range(2):
    estimate = jobs.estimate(jobs.card(by=by).visit, by=by)
estimate_answers.answer_by_owner(estimate, answer="yes", now=now)
estimates.begin(jobs.card(by=by).visit, by=by, now=now)
"""
BEGIN = """
from decimal import Decimal
from django.utils import timezone
from garage.core.errors import Refused
from garage.models.people import Person
from jobs.changes import cards, consents, estimate_answers, estimates
from jobs.models.consents import Consent
from jobs.models.estimates import Estimate
from jobs.models.parts import StockPart
from tests.factories import jobs
waits, agreed, draft = Estimate.objects.order_by("pk")
first, second, *_ = Consent.objects.order_by("pk")
by, stock = Person.objects.get(role="boss"), StockPart.objects.get()
together()
try:
    {does}
    print("DONE")
except Refused:
    print("REFUSED")
"""
ASKED = "select cast(price as integer), answer from jobs_consent where words not like 'Estimate%' order by id"
ANSWER = 'consents.answer_by_owner({which}, answer="{answer}", now=timezone.now())'
ANEW = 'consents.ask_anew(second, words="Chain, sprocket", price=Decimal("140.00"), by=by, now=timezone.now())'
SAYS = 'estimate_answers.answer_by_owner(waits, answer="{answer}", now=timezone.now())'
TAKE_OVER = "estimate_answers.take_over(agreed, by=by, now=timezone.now())"
LINE = "line=jobs.estimate_line(), by=by, now=timezone.now()"
ISSUE = f'estimates.issue(draft, text="", valid_until=draft.valid_until, {LINE})'
TAKE = "cards.part({of}.visit, stock=stock, quantity=Decimal(3), price_each=None, by=by, now=timezone.now())"


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_one_answer_stands_never_to_an_old_price_and_no_part_is_taken_that_is_not_there(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as garage:
        garage.shell(SET_UP)
        yes, no = (ANSWER.format(which="first", answer=answer) for answer in ("yes", "no"))
        answers_second = ANSWER.format(which="second", answer="yes")
        deeds = [yes, yes, no, answers_second, ANEW, TAKE.format(of="first"), TAKE.format(of="second")]
        deeds += [SAYS.format(answer=answer) for answer in ("yes", "no")] + [TAKE_OVER, TAKE_OVER, ISSUE, ISSUE]
        said = [words.split()[-1] for words in garage.at_once([BEGIN.format(does=one) for one in deeds])]

        asked = garage.rows(ASKED)
        assert said[:3] == (["DONE", "DONE", "REFUSED"] if asked[0][1] == "yes" else ["REFUSED", "REFUSED", "DONE"])
        once = "select count(*) from garage_trailrow where did like 'the owner said%' and about = 'visit {}'"
        numbers = [number for (number,) in garage.rows("select number from garage_visit order by number")]
        assert garage.rows(once.format(numbers[0])) == [(1,)]

        assert sorted(said[3:5]) == ["DONE", "REFUSED"]
        assert asked[1:] == ([(85, "yes")] if said[3] == "DONE" else [(85, ""), (140, "")])

        for two in (said[7:9], said[9:11], said[11:13]):
            assert sorted(two) == ["DONE", "REFUSED"]
        assert garage.rows("select count(*) from jobs_handline") == [(1,)]
        assert garage.rows("select number from jobs_estimate order by id") == [(1,), (2,), (3,)]
        answers = garage.rows("select answer from jobs_estimate order by id")
        assert answers == [("yes" if said[7] == "DONE" else "no",), ("yes",), ("",)]

        assert sorted(said[5:7]) == ["DONE", "REFUSED"]
        assert garage.rows("select cast(count as integer) from jobs_stockpart") == [(2,)]
        assert garage.rows("select count(*) from jobs_cardline where what = 'part'") == [(1,)]
