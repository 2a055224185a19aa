"""Five hundred evidence sets on the whole bank: the chances are those of a general-purpose library."""

import numpy as np
import pytest

from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.agrum_network import agrum_chances, with_few_answers

pytestmark = pytest.mark.long


@pytest.mark.parametrize("seed", range(20))
def test_twenty_five_evidence_sets_have_the_chances_that_pyagrum_gives(seed: int) -> None:
    """Source: pyAgrum 3, exact inference (lazy propagation), on the bank's own network."""
    bank, chance = the_bank(), np.random.default_rng([seed, 25])
    for _ in range(25):
        case = with_few_answers(bank, chance, 1, 2)
        ours = fault_chances(model_of(bank), gather(model_of(bank), case).weight()).tolist()
        assert dict(zip(bank.fault_ids, ours, strict=True)) == pytest.approx(agrum_chances(bank, case), abs=1e-9)
