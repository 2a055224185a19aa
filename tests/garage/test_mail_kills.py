"""Worker and broker are killed while messages are written and sent: all arrive, and only what was in hand again."""

from random import Random

import pytest

from tests.mail_kills import ForkedWorker, Redis, Run
from tests.postbox import postbox
from tests.servers import resting_garage

pytestmark = pytest.mark.long

MOMENTS, EACH, WITHIN_S, LEASE_S = 3, 15, 1.0, 2.0  # `make bench` kills forty times, with the lease of a garage


@pytest.mark.parametrize("broker", ["filesystem", "redis"])
def test_every_message_arrives_and_again_only_what_was_in_hand_at_a_kill(broker, new_garage, tmp_path):
    data, _ = new_garage("sqlite")
    redis = Redis(tmp_path) if broker == "redis" else None
    with postbox() as box, resting_garage(data) as garage:
        garage.environment["EMAIL_URL"] = box.url
        if redis:
            garage.environment["BROKER_URL"] = redis.url
            redis.start()
        try:
            run = Run(garage, box, ForkedWorker(garage, LEASE_S), redis, Random())
            found = run.through(MOMENTS, each=EACH, within_s=WITHIN_S, starting=0)
        finally:
            if redis:
                redis.kill()
    assert found.faults == []
    assert (found.written, found.killed.total()) == (MOMENTS * EACH, MOMENTS)
