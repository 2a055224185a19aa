"""What the tour's visitors do happens at the time that is told."""

from datetime import UTC, datetime, timedelta

from django.http import HttpResponse
from django.test import RequestFactory

from jobs.tour.told_time import KEY, ToldTime, ToldTimeMiddleware

EVENING = datetime(2027, 1, 4, 19, 12, tzinfo=UTC)


def test_a_request_is_made_at_the_time_that_is_told_when_it_is_made():
    seen = []

    def view(request):
        seen.append(request.now)
        return HttpResponse()

    told = ToldTime(EVENING)
    ask = RequestFactory(**{KEY: told}).get("/")
    middleware = ToldTimeMiddleware(view)
    middleware(ask)
    told.now = EVENING + timedelta(hours=13)
    middleware(ask)
    assert seen == [EVENING, EVENING + timedelta(hours=13)]
