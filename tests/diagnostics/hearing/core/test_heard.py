"""What was heard is kept and read back whole; what another version kept is not read as this one."""

import json

import pytest

from diagnostics.hearing.core.heard import HeardReason, from_json, to_json
from tests.factories.diagnostics import heard

NOTHING = heard(verdict="unclear", rpm=(), idle_rpm=None, peak_rpm=None, held=None, drop_outs=(), outline=())


@pytest.mark.parametrize("whole", [heard(), NOTHING], ids=["a ceiling", "nothing"])
@pytest.mark.parametrize("reason", HeardReason)
def test_what_was_kept_is_read_back(whole, reason):
    kept = json.loads(json.dumps(to_json(heard(**vars(whole) | {"reason": reason}))))
    assert from_json(kept) == heard(**vars(whole) | {"reason": reason})


@pytest.mark.parametrize("version", [0, 2])
def test_another_version_is_not_read(version):
    with pytest.raises(ValueError, match="version") as said:
        from_json(to_json(heard()) | {"version": version})
    assert str(said.value) == f"what was heard is kept in version {version}; this release reads 1"


def test_what_is_kept_has_these_keys_and_values():
    # Rows of other releases and the manual of `listen` depend on each of them.
    kept = to_json(heard(rpm=(1500.0, None), held=(1.5, 6.0), drop_outs=((2.0, 2.1),), outline=(0.5, 1.0)))
    assert kept == {
        "version": 1,
        "seconds": 8.0,
        "fires_per_turn": 1.0,
        "trace": {"t0_s": 0.01, "step_s": 0.02, "rpm": [1500.0, None]},
        "idle_rpm": 1500.0,
        "peak_rpm": 6050.0,
        "held": [1.5, 6.0],
        "verdict": "breaks-down",
        "ceiling_rpm": heard().ceiling_rpm,
        "drop_outs": [[2.0, 2.1]],
        "confidence": heard().confidence,
        "reason": "fails",
        "outline": [0.5, 1.0],
    }


@pytest.mark.parametrize("verdict", ["revs-out", "breaks-down", "unclear"])
def test_what_a_worker_of_the_release_before_still_kept_is_read(verdict):
    kept = to_json(heard(verdict=verdict)) | {"clip": "a.m4a", "reason": "A sentence."}
    del kept["version"]
    assert from_json(kept) == heard(verdict=verdict)
