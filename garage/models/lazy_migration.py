"""RunPython for migrations that seldom need a model: triggers, and rows that are put right only where any stand.

Django builds every model anew for each RunPython that follows a change of a table. A new garage runs some eighty of
them, and was half of its first start's time at that.
"""

from __future__ import annotations

from typing import cast

from django.db import router
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import RunPython
from django.db.migrations.state import ProjectState, StateApps
from django.db.models import Model


class ModelsWhenAsked:
    """The models as they were at one migration, built once the first is asked for."""

    def __init__(self, state: ProjectState) -> None:
        self._state = state

    def get_model(self, app_label: str, model_name: str | None = None) -> type[Model]:
        self._state.clear_delayed_apps_cache()
        return self._state.apps.get_model(app_label, model_name)


class RunPythonLazily(RunPython):
    """RunPython whose code may ask its first argument for get_model, and for nothing else."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,  # noqa: ARG002 - Django gives it
    ) -> None:
        if router.allow_migrate(schema_editor.connection.alias, app_label, **self.hints):
            self.code(cast(StateApps, ModelsWhenAsked(from_state)), schema_editor)
