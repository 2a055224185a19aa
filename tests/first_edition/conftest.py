"""Keeps pytest away from what only the first edition's code can run."""

collect_ignore = ["make.py"]
