"""How passwords are hashed: as Django does it with Argon2, but one at a time in each process.

Each takes 100 MB while it runs, which is what makes guessing dear; sixty log-ins at once took 1.5 GB.
"""

import threading

from django.contrib.auth.hashers import Argon2PasswordHasher

_one_at_a_time = threading.Lock()


class PatientArgon2(Argon2PasswordHasher):
    """The hashes are the library's own: those of before stay good."""

    def encode(self, password: str, salt: str) -> str:
        with _one_at_a_time:
            return super().encode(password, salt)

    def verify(self, password: str, encoded: str) -> bool:
        with _one_at_a_time:
            return super().verify(password, encoded)
