"""The boss of a shop, logged in."""

import pytest

from tests.factories import garage as make


@pytest.fixture
def boss(client):
    make.shop()
    client.force_login(make.boss())
    return client
