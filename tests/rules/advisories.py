"""Whether a library of the locks has a known advisory: `make advisories`. Only the index of advisories is asked.

pip-audit by itself answers "none found" also where it found no library in the index: here that is a failure.
"""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

from tests.rules.tree import ROOT

LOCK = "requirements/dev.txt"  # whatever a running garage needs stands in it too
LOOK_UP = (
    *("-m", "pip_audit", "--disable-pip", "--require-hashes", "--requirement", LOCK),
    *("--format", "json", "--progress-spinner", "off"),
)


def main() -> int:
    done = subprocess.run([sys.executable, *LOOK_UP], cwd=ROOT, capture_output=True, text=True, check=False)
    sentences, is_well = told(done.stdout, done.stderr)
    print("\n".join(sentences), file=sys.stdout if is_well else sys.stderr)
    return 0 if is_well else 1


def told(out: str, err: str) -> tuple[list[str], bool]:
    """What pip-audit's output means, in sentences, and whether all is well."""
    try:
        found = json.loads(out)["dependencies"]
    except (ValueError, KeyError):
        last = err.strip().splitlines()[-1] if err.strip() else "it said nothing"
        return [f"The index of advisories could not be asked, so nothing is known: {last}"], False
    known = [one for one in found if "vulns" in one]
    if not known:
        return ["The index that was reached knows no advisories (or no library), so nothing is known."], False
    sentences = [_sentence(one, advisory) for one in known for advisory in one["vulns"]]
    left_out = sorted(one["name"] for one in found if "vulns" not in one)
    if left_out:
        sentences.append(f"Not in the index, so nothing is known of: {', '.join(left_out)}.")
    return sentences or [f"No advisory for any of the {len(known)} libraries in {LOCK}."], not sentences


def _sentence(library: dict[str, Any], advisory: dict[str, Any]) -> str:
    mended = ", ".join(advisory["fix_versions"]) or "no version yet"
    return f"{library['name']} {library['version']}: {advisory['id']}, put right in {mended}."


if __name__ == "__main__":
    sys.exit(main())
