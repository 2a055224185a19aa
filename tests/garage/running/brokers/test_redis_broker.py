"""A channel whose connection is gone says that it is gone, which kombu and celery expect and live with."""

import pytest
from kombu import Connection
from kombu.transport import redis
from redis import exceptions

from garage.celery import app
from garage.running.brokers import redis_broker


def closed_channel(transport, address):
    """As a Redis that died leaves it: kombu's connection has let go of its transport, its channel is still asked."""
    with Connection(address, transport=transport) as connection:
        channel = connection.channel()
        held = connection.transport
        held.client = None
        return channel


def test_a_channel_of_a_closed_connection_says_that_it_is_lost(redis_address):
    channel = closed_channel(redis_broker.RedisTransport, redis_address)
    with pytest.raises(exceptions.ConnectionError, match="is closed"), channel.conn_or_acquire():
        pass
    assert issubclass(exceptions.ConnectionError, redis_broker.RedisTransport.connection_errors)


def test_twin_kombus_own_ends_by_an_error_that_nobody_expects(redis_address):
    channel = closed_channel(redis.Transport, redis_address)
    with pytest.raises(AttributeError), channel.conn_or_acquire():
        pass


@pytest.mark.parametrize("kind", ["redis", "rediss"])
def test_a_redis_is_recognised(kind):
    with app.connection_for_write(f"{kind}://localhost") as connection:
        assert isinstance(connection.transport, redis_broker.RedisTransport)
