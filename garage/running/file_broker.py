"""Kombu's filesystem broker, with messages that appear atomically.

Kombu opens the message's file under its final name and then writes into it. A worker that reads it in between gets an
empty message, cannot parse it and dies, and the supervisor then stops the garage (seen with kombu 5.7 on a busy
machine). Here a message gets its final name once it is written.
"""

import os
import uuid
from time import monotonic
from typing import Any

from kombu.exceptions import ChannelError
from kombu.transport import filesystem
from kombu.utils.json import dumps


class Channel(filesystem.Channel):
    def _put(self, queue: str, payload: Any, **_given: Any) -> None:  # type: ignore[override]  # as in its own base
        """Names sort by time, as in kombu. Until it is written a message has a name that no queue looks for."""
        name = f"{round(monotonic() * 1000)}_{uuid.uuid4()}.{queue}.msg"
        whole = os.path.join(self.data_folder_out, name)
        try:
            with open(f"{whole}.part", "wb") as part:
                part.write(dumps(payload).encode())
            os.replace(f"{whole}.part", whole)
        except OSError as error:
            raise ChannelError(f"Cannot put the message {name} into its folder: {error}") from error


class Transport(filesystem.Transport):
    Channel = Channel
