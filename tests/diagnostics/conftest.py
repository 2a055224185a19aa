"""What the tests of clips share."""

import pytest

from tests.factories import garage


@pytest.fixture
def visit(settings, tmp_path):
    """Of a two-stroke, in a shop; what is sent to it lies in a folder of the test."""
    settings.MEDIA_ROOT = tmp_path
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))
