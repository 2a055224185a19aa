"""A message in the folder of tasks is whole as soon as a worker can see it."""

from kombu import Connection
from kombu.transport import filesystem

from garage.celery import app
from garage.running import file_broker


class Watching:
    """Looks into the folder at the moment at which it is written out."""

    def __init__(self, folder):
        self.folder, self.seen = folder, None

    def __json__(self):
        self.seen = [path.name for path in self.folder.iterdir() if path.name.endswith(".msg")]
        return "written"


def put_and_get(transport, folder):
    options = {"data_folder_in": str(folder), "data_folder_out": str(folder), "control_folder": str(folder / "control")}
    watching = Watching(folder)
    with Connection("memory://", transport=transport, transport_options=options) as connection:
        channel = connection.channel()
        channel._put("celery", {"body": watching})
        return watching.seen, channel._get("celery")


def test_a_message_has_its_name_as_soon_as_it_is_written(tmp_path):
    assert put_and_get(file_broker.Transport, tmp_path) == ([], {"body": "written"})
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == []


def test_twin_kombus_own_can_be_taken_before_it_is_written(tmp_path):
    seen, _ = put_and_get(filesystem.Transport, tmp_path)
    assert len(seen) == 1


def test_the_broker_on_files_is_recognised():
    with app.connection_for_write("filesystem://localhost") as connection:
        assert isinstance(connection.transport, file_broker.Transport)
