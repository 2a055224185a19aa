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


def is_do_not_run(route: str, route_asked: str) -> bool:
    """Whether a visit is judged do not run: acted on, or with the boss still asked.

    >>> is_do_not_run("", DO_NOT_RUN), is_do_not_run(FIX_FIRST, "")
    (True, False)
    """
    return DO_NOT_RUN in (route, route_asked)
