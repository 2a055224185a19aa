from datetime import datetime, time

import pytest

from garage.models.visits import Step
from garage.pages.roller_caution import caution_now
from garage.reads.shop import the_shop
from tests.factories import booking
from tests.factories import garage as factory

pytestmark = pytest.mark.django_db
SAID = "Begun now, it would be outside the roller hours: today they run from 09:00 to 16:00."


@pytest.fixture
def working_day() -> datetime:
    return factory.next_workday_at(10)


@pytest.fixture
def session() -> Step:
    factory.shop()
    factory.roller_hours(time(9), time(16))
    return Step(visit=factory.visit(), index=0, at="roller", minutes=90, what="set-up")


def _said(step: Step | None, day: datetime, hour: int, minute: int) -> str:
    return caution_now(step, the_shop(), now=booking.at_local(day.date(), hour, minute))


@pytest.mark.parametrize(
    ("at", "said"), [((8, 59), SAID), ((9, 0), ""), ((14, 30), ""), ((14, 31), SAID), ((16, 30), SAID)]
)
def test_a_session_that_would_begin_or_end_outside_the_roller_hours_is_cautioned(
    session: Step, working_day: datetime, at: tuple[int, int], said: str
) -> None:
    assert _said(session, working_day, *at) == said


def test_nothing_is_said_of_work_at_the_bench_of_a_session_that_runs_or_of_none(
    session: Step, working_day: datetime
) -> None:
    bench = Step(visit=session.visit, index=1, at="bench", minutes=20, what="gate")
    session.began_at = working_day
    assert [_said(step, working_day, 8, 30) for step in (bench, session, None)] == ["", "", ""]
