"""What the card says of a smaller main jet: that the plug is to be read after it."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.core.runs.jets import ASKS_FOR_PLUG, is_main_jet, is_plug_read, may_be_smaller
from jobs.models.cards import CardLine

READS = {CardLine.READING, CardLine.NOTE, CardLine.WORK}


def smaller_main_jet(lines: Sequence[CardLine]) -> CardLine | None:
    """The last main jet on the card, if it is smaller than what came out. lines: of one card, oldest first."""
    jets = [line for line in lines if line.what == CardLine.JET and not line.struck_at and is_main_jet(line.words)]
    return jets[-1] if jets and may_be_smaller(before=jets[-1].before, after=jets[-1].after) else None


def plug_asked(lines: Sequence[CardLine]) -> str:
    """To read the plug, in a sentence. Empty without a smaller main jet, or once it was read after it."""
    jet = smaller_main_jet(lines)
    if jet is None:
        return ""
    later = [
        line for line in lines if line.what in READS and not line.struck_at and (line.at, line.pk) > (jet.at, jet.pk)
    ]
    return "" if is_plug_read(line.words for line in later) else ASKS_FOR_PLUG
