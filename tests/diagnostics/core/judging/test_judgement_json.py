"""A judgement as a row keeps it: the same value comes back, whatever was asked."""

from __future__ import annotations

import json

import pytest

from diagnostics.core.assess import assess, assess_many
from diagnostics.core.findings import Case, read_case
from diagnostics.core.judging.judgement import Judgement, Why
from diagnostics.core.judging.judgement_json import VERSION, from_json, to_json
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput
from tests.diagnostics.core.small_banks import case_of
from tests.golden.kept import golden


def golden_cases() -> list[Case]:
    good = [pair.asked for pair in golden("assess") if not pair.answered.startswith('{"error"')]
    return [read_case(the_bank(), json.loads(line)) for line in good]


def test_the_same_value_comes_back_from_json_for_every_golden_case() -> None:
    judged = assess_many(the_bank(), golden_cases())
    assert len(judged) > 600
    assert {type(judgement.why) for judgement in judged} == set(Why.__args__)
    assert [there_and_back(judgement) for judgement in judged] == judged


@pytest.mark.parametrize("version", [VERSION + 1, 0, None, "1"])
def test_an_unknown_version_is_refused(version: object) -> None:
    kept = to_json(assess(the_bank(), case_of(the_bank(), {})))
    assert from_json(kept)
    with pytest.raises(BadInput, match="version"):
        from_json(kept | {"version": version})


def test_a_judgement_of_the_version_before_is_still_read() -> None:
    judgement = assess(the_bank(), case_of(the_bank(), {"pinking": "yes"}))
    assert from_json(to_json(judgement) | {"version": 1}) == judgement


def there_and_back(judgement: Judgement) -> Judgement:
    return from_json(json.loads(json.dumps(to_json(judgement), allow_nan=False)))
