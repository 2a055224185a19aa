"""What several tests of this room ask for."""

import pytest

from tests.postgresql import new_postgresql_database


@pytest.fixture(params=["sqlite", "postgresql"], scope="module")
def new_place(request, tmp_path_factory):
    """Makes a folder and an empty database, on one kind and on the other."""

    def make():
        data, address = tmp_path_factory.mktemp("garage"), ""
        if request.param == "postgresql":
            address = new_postgresql_database(request.getfixturevalue("postgresql_address"))
        return data, address

    return make
