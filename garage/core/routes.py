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
