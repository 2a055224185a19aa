"""The guides that an owner is shown: none whose test revs an engine that its owner must not rev."""

from __future__ import annotations

from collections.abc import Iterable

from diagnostics.core.guides.guide import Guide
from diagnostics.reads.rev_out import RevOut


def allowed(guides: Iterable[Guide], rev_out: RevOut) -> tuple[Guide, ...]:
    """Those of the guides that may be shown to the owner of the visit that rev_out is of."""
    return tuple(guide for guide in guides if not (guide.opens_throttle and rev_out.why_not))
