"""Collects what owners read into the rooms' catalogues, garage/locale/de/ and so on, and compiles them."""

from __future__ import annotations

import tomllib
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.commands import makemessages

from garage.core.text.languages import ENGLISH, LANGUAGES

# Whose catalogue a file's texts are in: the first that its path begins with.
ROOM_OF = {
    "templates/guides/": "diagnostics",
    "templates/diagnostics/": "diagnostics",
    "templates/hearing/": "diagnostics",
    "diagnostics/": "diagnostics",
    "templates/mail/": "jobs",
    "templates/papers/": "jobs",
    "templates/jobs/": "jobs",
    "jobs/": "jobs",
    "": "garage",
}
ROOMS = ("garage", "diagnostics", "jobs")
CODES = [code for code in LANGUAGES if code != ENGLISH]
CATALOGUES = [
    (code, settings.BASE_DIR / room / "locale" / code / "LC_MESSAGES" / "django.po") for room in ROOMS for code in CODES
]
HEAD = """msgid ""
msgstr ""
"Language: {code}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"
"""


BANK = "diagnostics/bank/second.toml"
OF_A_QUESTION = ("ask", "how", "cautions", "unit")  # keys of the bank whose texts owners read; of a fault its name


class _TextFile(makemessages.BuildFile):
    """A file on its way into a catalogue. xgettext reads no TOML, so the bank's texts are written out as Python."""

    def preprocess(self) -> None:
        if self.path.endswith(BANK):
            told = [f"told_later({text!r})\n" for text in bank_texts(Path(self.path))]
            Path(self.work_path).write_text("".join(told), "utf-8")
        else:
            super().preprocess()


def bank_texts(bank: Path) -> list[str]:
    """What owners read of the bank, each once, in its order."""
    with bank.open("rb") as file:
        kept = tomllib.load(file)
    found = [fault["say"] for fault in kept["fault"].values()]
    for question in kept["question"].values():
        for texts in (*map(question.get, OF_A_QUESTION), list(question.get("answers", {}).values())):
            found += [texts] if isinstance(texts, str) else texts or []
    return list(dict.fromkeys(found))


class Command(makemessages.Command):
    """Django's own, with our function's name and our rooms. It wants GNU gettext on PATH."""

    help = "Collects what owners read into the rooms' catalogues and compiles them (GNU gettext)."
    build_file_class = _TextFile
    xgettext_options = [
        *makemessages.Command.xgettext_options,
        *("--keyword=told", "--keyword=told_later"),
        *("--keyword=label", "--keyword=labelled", "--keyword=Drawing:2"),  # what the guides’ pen writes
        *("--flag=told:1:no-python-format", "--flag=told_later:1:no-python-format"),  # "5 % denser" is no "% d"
    ]
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching", "--sort-by-file"]

    def add_arguments(self, parser: object) -> None:
        """None: what is collected, and where it goes, is settled here."""

    def handle(self, *args: object, **options: object) -> None:
        for code, catalogue in CATALOGUES:
            if not catalogue.exists():
                catalogue.parent.mkdir(parents=True, exist_ok=True)
                catalogue.write_text(HEAD.format(code=code), "utf-8")
        super().handle(
            locale=CODES, exclude=[], domain="django", verbosity=1, all=False, extensions=["html", "txt", "py", "toml"],
            symlinks=False, ignore_patterns=["tests/*", ".venv/*", "var/*", "static/*", "requirements/*"],
            use_default_ignore_patterns=True, no_wrap=True, no_location=False, add_location="file", no_obsolete=True,
            keep_pot=False,
        )  # fmt: skip
        for _code, catalogue in CATALOGUES:
            _without_dates(catalogue)
        call_command("compilemessages", locale=CODES, ignore_patterns=[".venv"], verbosity=0)

    def find_files(self, root: str) -> list[makemessages.TranslatableFile]:
        files: list[makemessages.TranslatableFile] = super().find_files(root)
        found = [each for each in files if not each.file.endswith(".toml") or each.path.endswith(BANK)]
        for each in found:
            path = each.path.removeprefix("./")
            room = next(room for begin, room in ROOM_OF.items() if path.startswith(begin))
            each.locale_dir = str(settings.BASE_DIR / room / "locale")
        return found


def _without_dates(catalogue: Path) -> None:
    """When it was collected says nothing, and each collecting would change it."""
    lines = catalogue.read_text("utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith(('"POT-Creation-Date', '"PO-Revision-Date', '"Report-Msgid'))]
    catalogue.write_text("".join(kept), "utf-8")
