"""The guides to running an engine: the rev-out, its timing, its jets, and coming for the rollers."""

from __future__ import annotations

from diagnostics.core.guides.drawn import rev_out
from diagnostics.core.guides.guide import Guide

RUNNING = (
    Guide(
        place=1,
        slug="rev-out",
        title="The rev-out",
        tells="Three seconds of full throttle on the stand tell a rich engine from one whose ignition breaks down.",
        drawings=rev_out.DRAWINGS,
        questions=("rev_out", "trouble"),
        routes=("fix-first", "phone-first"),
        mails=("sheet_outcome_fix_first", "sheet_outcome_phone_first", "to_fix_at_home"),
    ),
)
