"""The garage's settings without what makes writers on SQLite wait for each other from the beginning: for a twin."""

from garage.settings import *  # noqa: F403
from garage.settings import DATABASES

# Copied: pytest looks into this module for doctests, and what it changed would be changed for every test.
DATABASES = {"default": DATABASES["default"] | {"OPTIONS": {"timeout": 20, "init_command": "PRAGMA journal_mode=WAL;"}}}
