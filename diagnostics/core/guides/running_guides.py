"""The guides to running an engine: the rev-out, its timing, its jets, and coming for the rollers."""

from __future__ import annotations

from diagnostics.core.guides.drawn.running import before_you_come, degrees, jets, level, rev_out, strobe
from diagnostics.core.guides.guide import Guide
from garage.core.text.languages import told_later

RUNNING = (
    Guide(
        place=1,
        slug="rev-out",
        title=told_later("The rev-out"),
        tells=told_later(
            "Three seconds of full throttle on the stand tell a rich engine from one whose ignition breaks down."
        ),
        drawings=rev_out.DRAWINGS,
        questions=("rev_out",),
        routes=("fix-first", "phone-first"),
        mails=("sheet_outcome_fix_first", "sheet_outcome_phone_first"),
        opens_throttle=True,
    ),
    Guide(
        place=3,
        slug="strobe",
        title=told_later("The strobe, and what drift means"),
        tells=told_later(
            "Two readings of the flywheel marks, at tickover and at peak revs, say whether the spark comes on time."
        ),
        drawings=strobe.DRAWINGS,
        questions=("strobe_idle", "strobe_peak", "ignition_curve"),
        steps=("strobe",),
        routes=("fix-first",),
        mails=("sheet_outcome_fix_first",),
        opens_throttle=True,
    ),
    Guide(
        place=4,
        slug="level",
        title=told_later("Pickup and magnets level, and packers"),
        tells=told_later("A pickup that isn’t level with the flywheel’s magnets lets the timing climb with the revs."),
        drawings=level.DRAWINGS,
        questions=("strobe_peak",),
        steps=("level",),
        routes=("do-not-run",),
        mails=("sheet_outcome_do_not_run",),
    ),
    Guide(
        place=5,
        slug="degrees",
        title=told_later("Degrees in millimetres, with a dial gauge"),
        tells=told_later("A dial gauge in the plug hole finds the point where the spark should come."),
        drawings=degrees.DRAWINGS,
        questions=("strobe_idle",),
        steps=("static",),
    ),
    Guide(
        place=12,
        slug="jets",
        title=told_later("Jets, and why smaller ones don’t cure a spark"),
        tells=told_later(
            "Jetting down an engine whose spark breaks down cures nothing, and seizes it once the spark is good."
        ),
        drawings=jets.DRAWINGS,
        questions=("changed",),
        steps=("main-jet",),
        routes=("fix-first", "do-not-run"),
        mails=("sheet_outcome_fix_first", "sheet_outcome_do_not_run"),
    ),
    Guide(
        place=13,
        slug="before-you-come",
        title=told_later("Before you come"),
        tells=told_later(
            "What to bring, how to fuel it and how to strap it, so that your roller time is spent on the rollers."
        ),
        drawings=before_you_come.DRAWINGS,
        routes=("roller-ready",),
        mails=("visit_booked", "sheet_outcome_ready"),
    ),
)
