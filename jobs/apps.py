from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"

    def ready(self) -> None:
        from jobs import receivers  # noqa: F401  (connects on import, once the models are loaded)
