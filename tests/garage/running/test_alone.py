"""One process at a time is inside, and a lock that cannot be made keeps nobody out."""

from garage.running.alone import alone


def test_whoever_comes_second_is_told_and_the_next_after_that_is_alone_again(tmp_path):
    lock = tmp_path / "sending.lock"
    with alone(lock) as first:
        with alone(lock) as second:
            assert (first, second) == (True, False)
        with alone(lock) as third:
            assert third is False
    with alone(lock) as fourth:
        assert fourth is True


def test_where_no_lock_can_be_made_the_work_is_done_all_the_same(tmp_path):
    (tmp_path / "a file").touch()
    with alone(tmp_path / "a file" / "sending.lock") as is_alone:
        assert is_alone is True
