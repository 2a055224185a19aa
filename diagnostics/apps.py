import sys

from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self) -> None:
        from diagnostics import receivers  # noqa: F401  (connects on import, once the models are loaded)
        from diagnostics.reads.bank import bank_trouble

        if trouble := bank_trouble():
            sys.exit(trouble)  # a single sentence: without its bank nothing here can judge
