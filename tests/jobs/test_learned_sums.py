"""What closed cards add up to, through whatever happens to them: it equals all of them counted anew, by other code."""

from __future__ import annotations

import random
from contextlib import suppress

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError
from django.utils import timezone

from diagnostics.changes import causes, first_count, learning
from diagnostics.models.causes import Cause
from diagnostics.models.learned_sums import LearnedSums, Taught
from diagnostics.models.learning import Learned
from diagnostics.pages.learned import learned_page
from diagnostics.reads import learned_sums as kept
from diagnostics.reads.bank import the_bank
from diagnostics.reads.learned_check import differences
from diagnostics.reads.learned_sums import kept_sums
from garage.changes.visit.forgetting import forget
from garage.core import states
from garage.core.errors import Refused
from garage.models.owners import Machine
from garage.models.visits import SoldPiece, Step, Visit
from jobs.changes import closing, corrections
from tests import servers
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, PINKING, answered

STEPS = 20  # of the random walk; each takes some 50 ms


def here(chance: random.Random) -> Visit:
    SoldPiece.objects.all().delete()
    visit = garage.visit()
    if sheet := chance.choice([None, HEALTHY, FALSE_CEILING, PINKING]):
        answered(visit, sheet)
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=timezone.now())
    Step.objects.create(
        visit=visit, index=0, at="roller", minutes=90, what="set-up", began_at=timezone.now(), ended_at=timezone.now()
    )
    return visit


def close(visit: Visit, chance: random.Random, by) -> None:
    faults = chance.sample(the_bank().fault_ids, chance.choice([0, 1, 1, 2]))
    for fault in faults:
        causes.confirm(visit, fault=fault, by=by, now=timezone.now())
    if not faults and chance.random() < 0.5:
        causes.confirm(visit, words="a nest in the airbox", by=by, now=timezone.now())
        faults = ["words"]
    close_it = closing.close_with_causes if faults else closing.close_with_nothing_wrong
    close_it(visit, by=by, now=timezone.now())


def forgotten(visit: Visit) -> None:
    Visit.objects.filter(pk=visit.pk).update(state=states.COLLECTED, collected_at=timezone.now())
    forget(visit, now=timezone.now())


def happens(visits: list[Visit], chance: random.Random, by) -> None:
    """Something that happens to a closed card, or is refused."""
    visit, now = chance.choice(visits), timezone.now()
    cause = Cause.objects.filter(visit=visit, withdrawn_at=None).first()
    fault = chance.choice(the_bank().fault_ids)
    deeds = [
        lambda: close(visit, chance, by),
        lambda: closing.reopen(visit, reason="not done", by=by, now=now),
        lambda: corrections.found_later(visit, fault=fault, words="", by=by, now=now),
        lambda: corrections.correct_cause(cause, fault=fault, words="", by=by, now=now) if cause else None,
        lambda: corrections.was_not_it(cause, by=by, now=now) if cause else None,
        lambda: learning.came_back(visit, by=by, now=now),
        lambda: learning.did_not_come_back(visit, by=by, now=now),
        lambda: forgotten(visit) if chance.random() < 0.5 else None,
    ]
    with suppress(Refused):
        chance.choice(deeds)()


@pytest.mark.django_db
@pytest.mark.both_databases
def test_whatever_happens_to_closed_cards_the_sums_are_those_of_all_of_them():
    garage.shop()
    chance, by, visits = random.Random(17), garage.boss(), []
    for step in range(STEPS):
        if step < 6 or chance.random() < 0.2:
            visits.append(here(chance))
            close(visits[-1], chance, by)
        else:
            happens(visits, chance, by)
        assert differences() == []
    for visit in visits[:4]:
        with suppress(Refused):
            forgotten(visit)
    assert differences() == []
    assert Taught.objects.filter(unnamed__isnull=False).exists()
    page = learned_page("spoilt", garage.shop())
    LearnedSums.objects.all().delete()
    assert learned_page("spoilt", garage.shop()).not_learned == page.not_learned


@pytest.fixture
def one_closed(db):
    garage.shop()
    visit = here(random.Random(5))
    causes.confirm(visit, fault="air-leak", by=garage.boss(), now=timezone.now())
    closing.close_with_causes(visit, by=garage.boss(), now=timezone.now())
    return visit


def test_twin_what_is_off_is_found_and_the_command_says_so(one_closed):
    sums = LearnedSums.objects.get(edition=the_bank().edition)
    sums.sums["times/air-leak"] += 1
    sums.save()
    assert "The kept sums are not those of the closed cards." in differences()
    with pytest.raises(CommandError, match="base rates are not those"):
        call_command("check_learned")


def test_what_is_measured_of_a_machine_after_its_card_was_closed_is_put_right_by_the_look(one_closed, capsys):
    Visit.objects.filter(pk=one_closed.pk).update(minutes=45)
    Machine.objects.filter(pk=one_closed.machine_id).update(kind=None)
    assert differences()
    call_command("check_learned")
    assert f"Put right: what was kept of the visits {one_closed.number}." in capsys.readouterr().out
    assert differences() == []
    assert Taught.objects.get().roller_minutes == 45


def test_after_an_upgrade_the_sweep_counts_what_was_closed_before(one_closed):
    LearnedSums.objects.all().delete()
    Taught.objects.all().delete()
    learned, now = Learned.objects.first(), timezone.now()
    assert learned_page("spoilt", garage.shop()).closed == 1
    assert learning.count_by_a_new_bank(now=now) == learned
    assert differences() == []
    assert learning.count_by_a_new_bank(now=now) is None


def test_what_is_forgotten_before_anything_was_summed_counts_once(one_closed):
    LearnedSums.objects.all().delete()
    Taught.objects.all().delete()
    forgotten(one_closed)
    assert Taught.objects.get().unnamed is not None
    assert kept_sums()["closed"] == 1
    assert differences() == []


SET_UP = """
from tests.factories import garage, jobs
by = garage.boss()
for _ in range(6):
    jobs.card(by=by)
"""
CLOSE = """
from django.utils import timezone
from diagnostics.changes import causes
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import closing
by, visit = Person.objects.get(role="boss"), Visit.objects.order_by("number")[{nth}]
causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
together()
closing.close_with_causes(visit, by=by, now=timezone.now())
print("DONE")
"""
COMPARE = """
from diagnostics.reads import learned_sums as kept
from diagnostics.reads.learned_check import differences
from diagnostics.reads.learned_sums import kept_sums
print(differences(), kept_sums()["times/air-leak"])
"""


@pytest.mark.long
@pytest.mark.parametrize("kind", ["postgresql"])
def test_of_closings_at_once_none_is_lost_and_the_first_count_is_made_once(kind, new_garage):
    with servers.resting_garage(*new_garage(kind)) as made:
        made.shell(SET_UP)
        said = made.at_once([CLOSE.format(nth=nth) for nth in range(6)])
        assert [words.split()[-1] for words in said] == ["DONE"] * 6
        assert made.shell(COMPARE).strip().endswith("[] 6")


@pytest.fixture
def many_closed(db, monkeypatch):
    """A garage with more closed cards than are counted while others wait, and no sums yet."""
    garage.shop()
    chance, by = random.Random(5), garage.boss()
    for _ in range(3):
        close(here(chance), chance, by)
    LearnedSums.objects.all().delete()
    Taught.objects.all().delete()
    monkeypatch.setattr(kept, "AT_ONCE", 1)
    return list(Visit.objects.order_by("number"))


def test_until_many_cards_are_counted_a_closing_counts_none_and_the_count_takes_it_too(many_closed):
    close(here(random.Random(6)), random.Random(6), garage.person())
    assert kept_sums() is None
    assert not Taught.objects.exists()
    learning.count_by_a_new_bank(now=timezone.now())
    assert Taught.objects.count() == 4
    assert differences() == []


MEANWHILE = [(what, at) for what in ("closed", "reopened", "corrected", "forgotten") for at in (1, 2, 3)]
MEANWHILE.remove(("forgotten", 1))  # its row has lost its judgement, which no commit takes: the next test


@pytest.mark.parametrize(("what", "at"), MEANWHILE)
def test_what_happens_to_a_card_while_all_are_counted_is_in_the_sums_in_the_end(many_closed, monkeypatch, what, at):
    deeds = {
        "closed": lambda visit, by, now: close(here(random.Random(7)), random.Random(7), by),
        "reopened": lambda visit, by, now: learning.card_reopened(visit, by=by, now=now),
        "corrected": lambda visit, by, now: corrections.found_later(visit, fault="air-leak", words="", by=by, now=now),
        "forgotten": lambda visit, by, now: forgotten(visit),
    }
    read = first_count.all_taught

    def and_meanwhile():
        for nth, rows in enumerate(read(), start=1):
            if nth == at:
                deeds[what](many_closed[0], garage.person(), timezone.now())
            yield rows

    monkeypatch.setattr(first_count, "all_taught", and_meanwhile)
    learning.count_by_a_new_bank(now=timezone.now())
    monkeypatch.setattr(first_count, "all_taught", read)
    learning.count_by_a_new_bank(now=timezone.now())  # the next sweep
    assert kept_sums() is not None
    assert differences() == []
    assert Taught.objects.count() == {"closed": 4, "reopened": 2}.get(what, 3)


def test_a_count_that_lost_a_card_on_the_way_puts_nothing_there_and_the_next_sweep_counts_all(many_closed, monkeypatch):
    def is_refused(_):
        raise IntegrityError

    with monkeypatch.context() as patch:
        patch.setattr(Taught.objects, "bulk_create", is_refused)
        learning.count_by_a_new_bank(now=timezone.now())
    assert kept_sums() is None
    learning.count_by_a_new_bank(now=timezone.now())
    assert Taught.objects.count() == 3
    assert differences() == []
