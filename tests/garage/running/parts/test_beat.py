"""What is due when: after the clock was put back an hour everything is due after its own interval, as before."""

from datetime import timedelta

import pytest
from celery import Celery
from celery.beat import Scheduler

from garage.running.parts import beat, signs

EVERY_S = {"often": 20.0, "seldom": 3600.0}


class Clock:
    def __init__(self, app):
        self.now = app.now()
        self.app = app
        app.now = lambda: self.now

    def time(self):
        return self.now.timestamp()


@pytest.fixture
def sent_within(monkeypatch, settings, tmp_path):
    """Which were sent in so many seconds, after the clock was put on or back by so many."""
    settings.DATA = tmp_path

    def made(kind):
        app = Celery("own", broker="memory://", set_as_current=False)
        app.conf.beat_schedule = {name: {"task": name, "schedule": every} for name, every in EVERY_S.items()}
        clock, sent = Clock(app), []
        monkeypatch.setattr(beat, "time", clock)
        monkeypatch.setattr(kind, "apply_entry", lambda self, entry, producer=None: sent.append(entry.name))
        scheduler = kind(app=app)

        def within(seconds, *, put_s=0):
            clock.now += timedelta(seconds=put_s)
            sent.clear()
            for _ in range(seconds):
                clock.now += timedelta(seconds=1)
                while scheduler.tick() == 0:
                    pass
            return sent.copy()

        return within

    return made


def test_put_back_an_hour_it_goes_on_at_once(sent_within):
    within = sent_within(beat.SteadyScheduler)
    assert 4 <= len(within(100)) <= 5
    assert within(100, put_s=-3600).count("often") >= 4


def test_twin_celerys_own_stands_still_for_an_hour(sent_within):
    within = sent_within(Scheduler)
    assert len(within(100)) >= 4
    assert within(100, put_s=-3600) == []


def test_put_on_an_hour_each_is_sent_once(sent_within):
    within = sent_within(beat.SteadyScheduler)
    within(100)
    assert sorted(within(10, put_s=3600)) == ["often", "seldom"]


def test_what_is_due_each_hour_comes_soon_after_the_start(sent_within):
    assert sent_within(beat.SteadyScheduler)(310).count("seldom") == 1


def test_it_gives_a_sign_of_life(sent_within, tmp_path):
    sent_within(beat.SteadyScheduler)(1)
    assert signs.mark(tmp_path, signs.BEAT)
