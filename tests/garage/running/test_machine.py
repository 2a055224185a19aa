"""What a machine must offer: each thing in the way is one sentence that says what helps."""

import errno
import socket
import stat
from pathlib import Path

import pytest

from garage.running import machine


def test_a_port_in_use_is_refused_and_another_is_suggested():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(machine.Unfit, match=rf"Port {port} on 127.0.0.1 is in use; .* PORT="):
            machine.check_port("127.0.0.1", port)
    machine.check_port("127.0.0.1", port)


def test_an_address_of_another_machine_is_refused():
    with pytest.raises(machine.Unfit, match="not an address of this machine"):
        machine.check_port("192.0.2.1", 8000)  # RFC 5737: kept for documentation, so never here


@pytest.mark.parametrize("text", ["", "0", "65536", "-1", "80a", "8000.0", "٣"])
def test_a_port_is_a_whole_number_in_range(text):
    if text == "٣":  # a digit in another script is a number to Python, and below 1024 is still a number
        assert machine.port_number(text) == 3
        return
    with pytest.raises(machine.Unfit, match="PORT is"):
        machine.port_number(text)


@pytest.mark.parametrize(
    ("number", "says"),
    [(errno.EACCES, "kept for the system"), (errno.EADDRNOTAVAIL, "not an address of this machine")],
)
def test_a_refusal_by_the_system_is_given_in_words(number, says):
    assert says in machine.port_sentence(OSError(number, "system's word"), "127.0.0.1", 80)


def test_a_new_folder_is_private_and_an_existing_one_is_left_alone(tmp_path):
    folder = tmp_path / "deep" / "kept"
    machine.check_folder(folder)
    assert list(folder.iterdir()) == []
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_folder_that_nobody_may_write_to_is_refused():
    # Linux' /sys takes no folder from anybody, root included.
    with pytest.raises(machine.Unfit, match=r"/sys/tickover cannot be written to; .*DATA="):
        machine.check_folder(Path("/sys/tickover"))


def test_a_file_where_the_folder_should_be_is_refused(tmp_path):
    (tmp_path / "kept").write_text("a file")
    with pytest.raises(machine.Unfit, match="cannot be used"):
        machine.check_folder(tmp_path / "kept")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_a_full_disk_is_called_full(number, tmp_path):
    assert "is full; 20 MB must be free" in machine.folder_sentence(OSError(number, ""), tmp_path)


def test_the_key_is_made_once_and_is_for_the_garage_alone(tmp_path):
    machine.make_secret_key(tmp_path, demo="never")
    kept = tmp_path / "secret.key"
    first = kept.read_text()
    machine.make_secret_key(tmp_path, demo="first")
    assert kept.read_text() == first
    assert len(first) >= 50  # Django's own check for a deployed site asks for 50 characters (security.W009)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_a_folder_whose_key_is_made_for_the_demo_is_marked_before_and_an_old_one_is_not(tmp_path):
    machine.make_secret_key(tmp_path, demo="first")
    assert (tmp_path / machine.FIRST_RUN).exists()
    (tmp_path / machine.FIRST_RUN).unlink()
    machine.make_secret_key(tmp_path, demo="first")
    assert not (tmp_path / machine.FIRST_RUN).exists()


def test_a_server_that_listens_everywhere_is_asked_on_loopback_and_must_be_told_its_address():
    everywhere = "0.0.0.0"  # noqa: S104  (asked about, not bound)
    assert machine.reachable(everywhere) == "127.0.0.1"
    assert machine.reachable("192.0.2.7") == "192.0.2.7"
    with pytest.raises(machine.Unfit, match=r"HOST=0\.0\.0\.0 opens the garage .* SITE_URL=http://192\.0\.2\.20:8000"):
        machine.address(everywhere, 8000)
