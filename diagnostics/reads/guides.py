"""The guides that an owner is shown: none whose test revs an engine that its owner must not rev."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnostics.core.guides.guide import Guide


def allowed(guides: Iterable[Guide], *, why_no_rev_out: Sequence[str]) -> tuple[Guide, ...]:
    """Those that may be shown. why_no_rev_out: why the owner must not do the rev-out; empty if nothing speaks against
    it.
    """
    return tuple(guide for guide in guides if not (guide.opens_throttle and why_no_rev_out))
