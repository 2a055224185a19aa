"""What an owner tells beside the questions, read from plain values."""

from __future__ import annotations

import pytest

from diagnostics.core.remarks import REMARKS, read_remarks, remark_finding
from garage.core.errors import BadInput


def test_remarks_are_read_once_each_in_their_own_order() -> None:
    assert read_remarks([*reversed(REMARKS), *REMARKS]) == REMARKS
    assert read_remarks(None) == read_remarks([]) == ()


@pytest.mark.parametrize(
    ("given", "found", "allowed"),
    [
        ("leaks-petrol", "leaks-petrol", "a list of any of "),
        ({"leaks-petrol": True}, {"leaks-petrol": True}, "a list of any of "),
        (["leaks-petrol", "it-smells"], "it-smells", "one of "),
        ([["leaks-petrol"]], ["leaks-petrol"], "one of "),
    ],
)
def test_what_is_no_remark_is_named_with_all_that_are(given: object, found: object, allowed: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_remarks(given)
    assert (refused.value.where, refused.value.found) == ("remarks", found)
    assert refused.value.allowed == allowed + "leaks-petrol, not-run-in, no-exhaust, brakes-or-tyres"


def test_a_remark_is_named_like_a_finding() -> None:
    assert [remark_finding(remark) for remark in REMARKS[:2]] == ["remarks=leaks-petrol", "remarks=not-run-in"]
