"""What nothing in the rooms uses: `python -m tests.rules.dead_code` lists it and fails when there is any.

vulture reads Python only, so it is also told what templates name, and what queries name in keywords and strings.
REASONS holds what a library uses by its name. What only tests use is dead.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path
from typing import NamedTuple

from vulture import Vulture

from tests.rules.tree import ROOMS, ROOT, parsed, room_files, short

REASONS = (  # files, names, who uses them
    ("garage/settings.py", "*", "Django and other libraries read their settings by name"),
    ("*/apps.py", "*Config verbose_name", "Django looks for a room's configuration in its apps.py"),
    ("*/urls.py", "urlpatterns", "Django's resolver reads it"),
    ("*/migrations/*", "*", "Django finds and runs them"),
    ("*/management/commands/*", "Command help handle add_arguments requires_*", "Django's way to write a command"),
    ("garage/models/lazy_migration.py", "database_forwards to_state", "Django runs a migration's operations"),
    ("*/models/*", "abstract ordering indexes", "Django's way to describe a table"),
    ("garage/management/manual.py", "requires_*", "Django's way to write a command"),
    ("*/number_field.py", "default_error_messages", "Django's forms"),
    ("*/day_field.py", "default_error_messages", "Django's forms"),
    ("garage/output/formats/*", "*", "Django's formats, named by FORMAT_MODULE_PATH"),
    (
        "garage/management/commands/messages.py",
        "locale_dir *_options find_files build_file_class preprocess",
        "Django's command that collects texts",
    ),
    ("garage/views/language.py", "process_view", "Django calls it before the view"),
    ("*/middleware.py", "process_view", "Django calls it before the view"),
    (
        "*/forms*.py",
        "clean_heard_at label_from_instance widgets field_order default_error_messages queryset required help_text",
        "Django's forms",
    ),
    ("*/uploads.py", "receive_data_chunk file_complete file_size", "Django calls its upload handlers"),
    ("*/decoding/*.py", "pts bit_rate", "the codecs' frames and streams carry it"),
    ("*/models/sessions.py", "get_session_store_class get_model_class create_model_instance", "Django's sessions"),
    ("*/views/*.py", "clean_again", "Django's forms"),
    ("*/row_form.py", "__class_getitem__", "Python calls it for what stands in brackets"),
    ("garage/running/backups/archive.py", "compress_type", "Python's ZIP writer reads it"),
    ("garage/output/typesetting.py", "LOAD_TRUNCATED_IMAGES", "Pillow reads it"),
    ("jobs/papers/archive.py", "external_attr", "zipfile writes it"),
    ("garage/running/web/patient_worker.py", "initialized data_ready", "the web server's connections"),
    (
        "garage/running/web/patient_worker.py",
        "on_client_socket_readable murder_pending",
        "the web server's loop calls them",
    ),
    ("garage/views/body_limits.py", "process_view", "Django calls it before the view"),
    ("garage/running/brokers/redis_broker.py", "RedisTransport", "garage/celery.py names it to Celery"),
    ("garage/running/brokers/file_broker.py", "_put _get _queue_bind", "Celery's transport calls them"),
    ("garage/running/parts/beat.py", "SteadyScheduler last_run_at _heap", "Celery's beat: garage/celery.py names it"),
    ("garage/urls.py", "handler500", "Django's resolver reads it"),
    ("garage/views/cannot_save.py", "_has_been_logged", "Django asks for it before it logs an answer"),
    ("garage/core/planning/solving/solver.py", "num_workers random_seed max_*", "CP-SAT's settings"),
    ("garage/core/selling/free_times.py", "__lt__ __sub__", "a protocol says what a time can do"),
    ("garage/running/measuring/counts.py", "ValueClass", "Prometheus' library makes its numbers with it"),
    ("jobs/pages/watched.py", "collect", "Prometheus' library calls its collectors"),
    ("jobs/tour/pages.py", "handle_starttag handle_endtag handle_data", "Python's HTML parser calls them"),
)
CALLED_BY_A_SIGNAL = ["@receiver", "@task_received.connect", "@task_prerun.connect"]
CALLED_BY_A_SIGNAL += ["@worker_before_create_process.connect"]
STARTED_BY_NAME = ("*.apps", "*.management.commands.*", "*.templatetags.*", "garage.wsgi", "garage.running.*")
QUERIES = {"filter", "exclude", "get", "Q", "values", "values_list", "order_by", "only", "update_or_create"}

_TAG = re.compile(r"{[{%].*?[%}]}", re.DOTALL)
_NAME = re.compile(r"[A-Za-z_]\w*")


class Dead(NamedTuple):
    where: str
    line: int
    kind: str
    name: str

    def __str__(self) -> str:
        return f"{self.where}:{self.line} {self.kind} {self.name}"


def dead(found: list[Dead]) -> list[Dead]:
    """Of what is unused, what no reason excuses."""
    return [one for one in found if not any(is_excused(one, reason) for reason in REASONS)]


def unused(planted: str = "") -> list[Dead]:
    """What nothing in the rooms uses, excused or not. planted: code to look at beside them."""
    found = Vulture(ignore_decorators=CALLED_BY_A_SIGNAL)
    found.scavenge([str(ROOT / room) for room in ROOMS])
    found.scan(planted, filename=ROOT / "planted.py")
    found.used_names |= {*_named_by_templates(), *_named_by_queries()}
    items = found.get_unused_code(min_confidence=60)
    return [Dead(short(item.filename), item.first_lineno, item.typ, item.name) for item in items] + _unused_modules()


def is_excused(one: Dead, reason: tuple[str, str, str]) -> bool:
    files, names, _why = reason
    return fnmatch(one.where, files) and any(fnmatch(one.name, pattern) for pattern in names.split())


def _named_by_templates() -> Iterator[str]:
    for path in (ROOT / "templates").rglob("*.*"):
        for tag in _TAG.findall(path.read_text(encoding="utf-8")):
            yield from _NAME.findall(tag)


def _named_by_queries() -> Iterator[str]:
    """Columns asked for by keyword or as a string, as in filter(rung_at__isnull=True) and F("due_at")."""
    for path in room_files():
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) in QUERIES:
                yield from (name for keyword in node.keywords for name in (keyword.arg or "").split("__"))
            elif isinstance(node, ast.Constant) and re.fullmatch(r"-?[\w.]+", str(node.value)):
                yield from re.split(r"__|\.|-", str(node.value))


def _unused_modules() -> list[Dead]:
    """Modules that no other imports or names in a string, and that nothing starts by their name."""
    imported = {name for room in ROOMS for path in (ROOT / room).rglob("*.py") for name in _modules_named(path)}
    modules = {_dotted(path): path for path in room_files() if path.name != "__init__.py"}
    return [
        Dead(short(path), 1, "module", name)
        for name, path in modules.items()
        if name not in imported and not any(fnmatch(name, pattern) for pattern in STARTED_BY_NAME)
    ]


def _modules_named(path: Path) -> Iterator[str]:
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield from (node.value, node.value.rpartition(".")[0])


def _dotted(path: Path) -> str:
    return short(path).removesuffix(".py").replace("/", ".")


if __name__ == "__main__":
    left = dead(unused())
    print("\n".join(map(str, left)) or "Nothing is unused.")  # noqa: T201
    sys.exit(1 if left else 0)
