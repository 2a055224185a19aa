"""A process pays for the libraries that set papers, draw pictures and hear clips when it does so, and most never do."""

import subprocess
import sys

SHOWN = """
import sys
import garage.wsgi, garage.urls
from garage.celery import app
app.loader.import_default_modules()
assert "diagnostics.hearing.tasks.hear_clips" in app.tasks
print(*sorted({'weasyprint', 'matplotlib', 'scipy'} & set(sys.modules)))
"""


def test_web_and_worker_that_have_made_no_paper_and_heard_no_clip_have_not_loaded_what_does_it():
    done = subprocess.run([sys.executable, "-c", SHOWN], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
