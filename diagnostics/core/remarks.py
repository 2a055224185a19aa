"""What an owner tells beside the questions: it leaks petrol, it is not run in …"""

from __future__ import annotations

from garage.core.errors import BadInput

LEAKS_PETROL, NOT_RUN_IN, NO_EXHAUST, BRAKES_OR_TYRES = REMARKS = (
    "leaks-petrol",
    "not-run-in",
    "no-exhaust",
    "brakes-or-tyres",
)


def read_remarks(found: object) -> tuple[str, ...]:
    """Remarks from a plain list, each once, in the order of REMARKS; None is none. Raises BadInput naming the key.

    >>> read_remarks(["no-exhaust", "leaks-petrol", "no-exhaust"])
    ('leaks-petrol', 'no-exhaust')
    """
    if found is None:
        return ()
    if not isinstance(found, list | tuple):
        raise BadInput("remarks", found, f"a list of any of {', '.join(REMARKS)}")
    for remark in found:
        if remark not in REMARKS:
            raise BadInput("remarks", remark, f"one of {', '.join(REMARKS)}")
    return tuple(remark for remark in REMARKS if remark in found)


def remark_finding(remark: str) -> str:
    """A remark as a finding.

    >>> remark_finding("leaks-petrol")
    'remarks=leaks-petrol'
    """
    return f"remarks={remark}"
