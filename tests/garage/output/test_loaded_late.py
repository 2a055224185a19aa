"""A process pays for the libraries that set papers and draw pictures when it makes one, and most never do."""

import subprocess
import sys

SHOWN = "import garage.wsgi, garage.urls, sys; print(*sorted({'weasyprint', 'matplotlib', 'scipy'} & set(sys.modules)))"


def test_a_garage_that_has_made_no_paper_has_not_loaded_what_makes_them():
    done = subprocess.run([sys.executable, "-c", SHOWN], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
