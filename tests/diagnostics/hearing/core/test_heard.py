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
    with pytest.raises(ValueError, match="version"):
        from_json(to_json(heard()) | {"version": version})


@pytest.mark.parametrize("verdict", ["revs-out", "breaks-down", "unclear"])
def test_what_a_worker_of_the_release_before_still_kept_is_read(verdict):
    kept = to_json(heard(verdict=verdict)) | {"clip": "a.m4a", "reason": "A sentence."}
    del kept["version"]
    assert from_json(kept) == heard(verdict=verdict)
