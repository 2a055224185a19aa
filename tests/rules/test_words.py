"""Pages, mails and papers speak the workshop's words and none of those that they replace."""

import re
from pathlib import Path

import pytest

from tests.rules.tree import ROOT, short

REPLACED = (  # each as a whole word and its plural; words that are plain English too ("leads", "order") are left out
    *("customer", "client", "appointment", "ticket", "dashboard", "inbox", "waitlist", "analytics", "backlog"),
    *("reservation", "cart", "tenant", "questionnaire", "notification", "survey", "score", "upsell"),
)
_SAID = re.compile(rf"\b({'|'.join(REPLACED)})s?\b", re.IGNORECASE)
_NOT_SHOWN = re.compile(r"{%.*?%}|{#.*?#}|{{.*?}}|<[^>]*>", re.DOTALL)


def _shown(text: str) -> str:
    """The words a person reads: tags of template and page taken out, lines kept."""
    return _NOT_SHOWN.sub(lambda found: "\n" * found.group().count("\n"), text)


def _templates() -> list[Path]:
    return sorted(path for path in (ROOT / "templates").rglob("*") if path.suffix in (".html", ".txt"))


def test_the_templates_are_found():
    assert len(_templates()) > 10


@pytest.mark.parametrize("path", _templates(), ids=short)
def test_no_page_says_a_word_that_the_house_has_replaced(path):
    found = [
        f"line {number}: {hit.group()}"
        for number, line in enumerate(_shown(path.read_text(encoding="utf-8")).splitlines(), 1)
        for hit in _SAID.finditer(line)
    ]
    assert found == []


def test_a_replaced_word_would_be_seen():
    assert _SAID.search(_shown("<p>Dear {{ name }}, your <b>Appointments</b></p>"))
    assert not _SAID.search(_shown('<p class="score">{{ client }} misled by a leading mark</p>'))
