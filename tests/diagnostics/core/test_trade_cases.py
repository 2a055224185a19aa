"""The written cases: what a tuner expects, each with its reason, written before the bank had a number."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from diagnostics.core.assess import assess
from diagnostics.core.bank.bank import GROUPS, Bank
from diagnostics.core.findings import read_case
from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.telling.assess_lines import assess_line
from diagnostics.reads.bank import the_bank

REPAIR = "If that is it"
CASES = tomllib.loads((Path(__file__).parent / "trade_cases.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("written", [pytest.param(case, id=case["reason"]) for case in CASES])
def test_the_judgement_is_what_a_tuner_says(written: dict[str, Any]) -> None:
    assert broken_words(the_bank(), written) == []


def test_there_are_sixty_cases_or_more_and_each_has_its_reason() -> None:
    assert len({case["reason"] for case in CASES}) >= 60


def broken_words(bank: Bank, written: dict[str, Any]) -> list[str]:
    """What the judgement of a written case does not keep to."""
    judgement = assess(bank, read_case(bank, {"case": "written", **written["in"]}))
    top = max(judgement.chances, key=lambda fault: judgement.chances[fault])
    chances = {**judgement.chances, **judgement.groups}
    kept = {
        f"route: {judgement.why}": judgement.route in written.get("route", [judgement.route]),
        f"likeliest group: {judgement.groups}": _likeliest(judgement)
        == written.get("likeliest_group", _likeliest(judgement)),
        f"top: {top}": top in written.get("top", [top]),
        f"caution: {judgement.cautions}": written.get("caution", "") in " ".join(assess_line(judgement)["cautions"]),
    }
    kept |= {f"{more} over {less}": chances[more] > chances[less] for more, less in written.get("over", [])}
    kept |= {f"{name} above {limit}": chances[name] > limit for name, limit in written.get("above", {}).items()}
    by_chance = sorted(judgement.chances, key=lambda fault: -judgement.chances[fault])
    kept |= {
        f"{fault} among {by_chance[:most]}": fault in by_chance[:most]
        for fault, most in written.get("among", {}).items()
    }
    tests = [step.do for step in judgement.bench_order if not step.do.startswith(REPAIR)]
    kept |= {
        f"{words} in {tests[:most]}": words in " ".join(tests[:most])
        for words, most in written.get("bench", {}).items()
    }
    kept |= {f"asks {judgement.ask_next}": _asks(judgement, written["asks"]) for _ in range("asks" in written)}
    kept |= {f"{name} below {limit}": chances[name] < limit for name, limit in written.get("below", {}).items()}
    return [word for word, is_kept in kept.items() if not is_kept]


def _asks(judgement: Judgement, wanted: bool | str) -> bool:
    return judgement.ask_next is not None and wanted in (True, judgement.ask_next.question)


def _likeliest(judgement: Judgement) -> str:
    return max(GROUPS, key=lambda group: judgement.groups[group])
