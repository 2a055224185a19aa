"""The written cases: what a tuner expects, each with its reason, written before the bank had a number."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from diagnostics.core.assess import Judgement, assess
from diagnostics.core.bank import GROUPS
from diagnostics.core.findings import read_case
from diagnostics.reads.bank import the_bank

CASES = tomllib.loads((Path(__file__).parent / "trade_cases.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("written", [pytest.param(case, id=case["reason"]) for case in CASES])
def test_the_judgement_is_what_a_tuner_says(written: dict[str, Any]) -> None:
    bank = the_bank()
    judgement = assess(bank, read_case(bank, {"case": "written", **written["in"]}))
    assert judgement.route in written.get("route", [judgement.route]), judgement.why
    if "likeliest_group" in written:
        assert _likeliest(judgement) == written["likeliest_group"]
    top = max(judgement.chances, key=lambda fault: judgement.chances[fault])
    assert top in written.get("top", [top])
    chances = {**judgement.chances, **judgement.groups}
    for more, less in written.get("over", []):
        assert chances[more] > chances[less]
    for name, limit in written.get("above", {}).items():
        assert chances[name] > limit
    for name, limit in written.get("below", {}).items():
        assert chances[name] < limit
    assert written.get("caution", "") in " ".join(judgement.cautions)


def test_there_are_sixty_cases_or_more_and_each_has_its_reason() -> None:
    assert len({case["reason"] for case in CASES}) >= 60


def _likeliest(judgement: Judgement) -> str:
    return max(GROUPS, key=lambda group: judgement.groups[group])
