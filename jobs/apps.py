from django.apps import AppConfig
from django.conf import settings


class JobsConfig(AppConfig):
    name = "jobs"

    def ready(self) -> None:
        from jobs import receivers  # noqa: F401  (connects on import, once the models are loaded)

        if settings.METRICS == "on":
            from garage.running.measuring.counts import measure_the_tasks

            measure_the_tasks()
