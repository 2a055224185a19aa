"""Makes the clip that the demo and the tour send: `python -m tests.revouts.demo_clip`. No engine was recorded."""

from __future__ import annotations

from pathlib import Path

from tests.browser.rev_out import sound
from tests.revouts.codecs import CODECS, encoded

PATH = Path(__file__).resolve().parents[2] / "jobs" / "demo" / "clips" / "breaks-down.webm"


def made() -> bytes:
    """A single that idles at 1500 rpm and ought to reach 8500, but whose ignition begins to fail at 70 % of that."""
    return encoded(sound("breaks", idles_s=2.5), CODECS["opus24"])


if __name__ == "__main__":
    PATH.write_bytes(made())
