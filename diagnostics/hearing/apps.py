from django.apps import AppConfig


class HearingConfig(AppConfig):
    name = "diagnostics.hearing"
    label = "hearing"

    def ready(self) -> None:
        from diagnostics.hearing import receivers  # noqa: F401  (connects on import, once the models are loaded)
