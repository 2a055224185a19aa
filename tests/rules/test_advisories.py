"""What `make advisories` makes of pip-audit's answers; asking itself needs an index and is no test."""

import json

import pytest

from tests.rules.advisories import told

SOUND = {"name": "django", "version": "5.2.9", "vulns": []}
HURT = {"name": "pillow", "version": "12.0", "vulns": [{"id": "PYSEC-2026-1", "fix_versions": ["12.1"], "aliases": []}]}
UNKNOWN = {"name": "segno", "skip_reason": "Dependency not found on PyPI and could not be audited: segno (1.6.6)"}


@pytest.mark.parametrize(
    ("found", "said", "is_well"),
    [
        ([SOUND], "No advisory for any of the 1 libraries", True),
        ([SOUND, HURT], "pillow 12.0: PYSEC-2026-1, put right in 12.1.", False),
        ([SOUND, UNKNOWN], "Not in the index, so nothing is known of: segno.", False),
        ([UNKNOWN], "knows no advisories", False),
    ],
)
def test_an_advisory_and_a_library_that_nobody_knows_both_fail(found, said, is_well):
    sentences, well = told(json.dumps({"dependencies": found, "fixes": []}), "")
    assert (said in " ".join(sentences), well) == (True, is_well)


def test_an_index_out_of_reach_is_one_sentence():
    sentences, well = told("", "Traceback\nrequests.exceptions.ConnectionError: no route")
    assert (len(sentences), sentences[0].endswith("no route"), well) == (1, True, False)
