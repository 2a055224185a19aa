"""Kombu's Redis broker, but a worker outlives a Redis that dies while a task is in hand.

Kombu then closes the connection twice. The second time the channel still has tasks to give back, finds that its
connection has no client any more, and the worker ends by an AttributeError that nobody expects (seen with kombu 5.7 and
celery 5.7); so does one that acknowledges such a task later. Here it is what it means: a connection that is lost.
"""

from typing import Any

from kombu.transport import redis
from redis import exceptions


class RedisChannel(redis.Channel):
    def _connparams(self, asynchronous: bool = False) -> dict[str, Any]:
        if self.connection is None or self.connection.client is None:
            raise exceptions.ConnectionError("the connection of this channel is closed")
        found: dict[str, Any] = super()._connparams(asynchronous=asynchronous)  # type: ignore[misc]  # not in its stubs
        return found


class RedisTransport(redis.Transport):
    Channel = RedisChannel
