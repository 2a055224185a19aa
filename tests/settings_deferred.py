"""The garage's settings without what makes writers on SQLite wait for each other from the beginning: for a twin."""

from garage.settings import *  # noqa: F403
from garage.settings import DATABASES

DATABASES["default"]["OPTIONS"] = {"timeout": 20, "init_command": "PRAGMA journal_mode=WAL;"}
