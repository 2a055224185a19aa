"""How the tests are dealt out to the programs that run them side by side, so that no core waits."""

from __future__ import annotations

from xdist.scheduler import LoadFileScheduling
from xdist.workermanage import WorkerController

DATABASES = ("sqlite", "postgresql")


def piece_of(name: str) -> str:
    """What one program runs in one go: a file, or of a file for both databases the half that is on one of them, since
    what its tests share is made for each anyway.

    >>> piece_of("tests/test_a.py::test_b[sqlite-2]"), piece_of("tests/test_a.py::test_c")
    ('tests/test_a.py::sqlite', 'tests/test_a.py')
    """
    file, _, test = name.partition("::")
    chosen = test.partition("[")[2].rstrip("]").split("-")
    return "::".join([file, *(database for database in DATABASES if database in chosen)])


class FromBothEnds(LoadFileScheduling):
    """The longest files come first in the queue and wait most, for servers and browsers; the many short ones behind
    them only reckon. Half of the programs take from the head and half from the tail, so both kinds run at any time.
    """

    def _split_scope(self, nodeid: str) -> str:
        return piece_of(nodeid)

    def _assign_work_unit(self, node: WorkerController) -> None:
        if self.nodes.index(node) % 2:
            self.workqueue.move_to_end(next(reversed(self.workqueue)), last=False)
        super()._assign_work_unit(node)
