from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self) -> None:
        from diagnostics import receivers  # noqa: F401  (connects on import, once the models are loaded)
