"""The tests themselves: what they go by is what a garage goes by."""

import numpy as np
from threadpoolctl import threadpool_info


def test_the_matrix_library_has_one_thread_as_in_a_garage():
    """Two threads wait for one another on a busy machine: a judgement takes many times as long, or sums otherwise."""
    assert np.__version__
    assert {library["num_threads"] for library in threadpool_info() if library["user_api"] == "blas"} == {1}
