"""What the clips of a visit say to its judgement."""

from __future__ import annotations

from typing import Any

from diagnostics.models.clips import Clip
from garage.models.visits import Visit


def heard_values(visit: Visit, own_confidence: float) -> dict[str, Any] | None:
    """What the judgement is given: of the newest clip that says something. A person's verdict stands before the heard
    one, with the bank's confidence; `unclear` weighs nothing and takes no older verdict away.
    """
    for clip in Clip.objects.filter(visit=visit).exclude(own_verdict="", state__in=(Clip.WAITS, Clip.WORKING)):
        if clip.verdict in (Clip.REVS_OUT, Clip.BREAKS_DOWN):
            result = clip.result or {}
            confidence = own_confidence if clip.own_verdict else result["confidence"]
            ceiling = result.get("ceiling_rpm") if clip.verdict == Clip.BREAKS_DOWN else None
            return {
                "verdict": clip.verdict,
                "confidence": confidence,
                "ceiling_rpm": ceiling,
                "peak_rpm": result.get("peak_rpm"),
            }
    return None
