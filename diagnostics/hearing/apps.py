from django.apps import AppConfig


class HearingConfig(AppConfig):
    name = "diagnostics.hearing"
    label = "hearing"
