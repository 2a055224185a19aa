"""Says to systemd that a part is ready: what stands behind it in the order of starting may start then."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Mapping


def tell_systemd(state: str, environment: Mapping[str, str]) -> None:
    """To whoever waits for it (sd_notify(3)): what stands behind this part in the order of starting may start."""
    place = environment.get("NOTIFY_SOCKET", "")
    if place:
        with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as door:
            door.sendto(state.encode(), f"\0{place[1:]}" if place.startswith("@") else place)
