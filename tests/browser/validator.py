"""The W3C's validator of HTML over many pages at once: the Nu Html Checker, which .ci/set_up fetches."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Mapping
from pathlib import Path

JAR = Path(__file__).resolve().parent.parent.parent / ".venv" / "vnu" / "vnu.jar"
# htmx's attributes are no part of HTML: the standard leaves room for own ones only as data-.
OURS = r".*Attribute .hx-[a-z-]+. not allowed on element.*"
QUICK = ("-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1", "-Xss4m")  # a short life: no second compiler, one thread


def errors_of(pages: Mapping[str, str], folder: Path) -> list[str]:
    """pages: whole pages by their address. Each error with its page, line and the piece of it. folder: to write in."""
    files = {}
    for number, (address, html) in enumerate(pages.items()):
        files[f"{number}.html"] = address
        (folder / f"{number}.html").write_text(html, "utf-8")
    command = ["java", *QUICK, "-jar", str(JAR), "--errors-only", "--format", "json", "--stdout", "--exit-zero-always"]
    command += ["--filterpattern", OURS, *(str(folder / name) for name in files)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return [
        f"{files[found['url'].rpartition('/')[2]]}:{found.get('lastLine')}: {found['message']} {found.get('extract', '')}"
        for found in json.loads(done.stdout)["messages"]
    ]
