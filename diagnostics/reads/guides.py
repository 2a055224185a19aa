"""The guides that an owner is shown or mailed: none whose test revs an engine that its owner must not rev."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnostics.core.asking.home_tests import home_tests
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import guides_for_question
from diagnostics.reads.filled_sheet import filled_sheet
from diagnostics.reads.judgement import latest
from garage.models.visits import Visit
from garage.output.addresses import public_guide_address


def allowed(guides: Iterable[Guide], *, why_no_rev_out: Sequence[str]) -> tuple[Guide, ...]:
    """Those that may be shown. why_no_rev_out: why the owner must not do the rev-out; empty if nothing speaks against
    it.
    """
    return tuple(guide for guide in guides if not (guide.opens_throttle and why_no_rev_out))


def guides_to_try(visit: Visit) -> tuple[Guide, ...]:
    """Those that teach what is worth trying at home, likeliest first."""
    filled, kept = filled_sheet(visit), latest(visit)
    tests = home_tests(filled.asked, kept.judgement.chances) if kept else ()
    found = (guide for test in tests for guide in guides_for_question(test.id))
    return allowed(dict.fromkeys(found), why_no_rev_out=filled.why_not)


def mailed(guides: Iterable[Guide]) -> list[tuple[str, str]]:
    """Title and address of each, for a mail, which says the title in its own language."""
    return [(guide.title, public_guide_address(guide.slug)) for guide in guides]
