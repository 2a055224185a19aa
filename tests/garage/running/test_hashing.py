import os
import subprocess
import sys

from django.contrib.auth.hashers import Argon2PasswordHasher

from garage.running.hashing import PatientArgon2
from tests.servers import ROOT

AT_ONCE = """
import resource
from concurrent.futures import ThreadPoolExecutor
from django.conf import settings
settings.configure()
from garage.running.hashing import PatientArgon2
hasher = PatientArgon2()
one = hasher.encode("a password", "a-salt-of-some-letters")
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
with ThreadPoolExecutor(4) as threads:
    assert all(threads.map(lambda _: hasher.verify("a password", one), range(4)))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


def test_log_ins_at_once_take_no_more_memory_than_one():
    """Four would take three times 100 MB more. ru_maxrss: kB on Linux (getrusage(2))."""
    done = subprocess.run([sys.executable, "-c", AT_ONCE], cwd=ROOT, env=os.environ, capture_output=True, check=True)
    assert int(done.stdout) < 60_000


def test_passwords_of_before_stay_good():
    before = Argon2PasswordHasher().encode("a password", "a-salt-of-some-letters")
    assert PatientArgon2().verify("a password", before)
