"""The four routes of a judgement in words."""

ROLLER_READY = "roller-ready"
FIX_FIRST = "fix-first"
PHONE_FIRST = "phone-first"
DO_NOT_RUN = "do-not-run"

WORDS = {
    ROLLER_READY: "roller-ready",
    FIX_FIRST: "fix first",
    PHONE_FIRST: "phone first",
    DO_NOT_RUN: "do not run",
}

TO_FIX = frozenset({FIX_FIRST, DO_NOT_RUN})  # the roller slot is given back until the fault is put right
