from django.apps import AppConfig

from garage.celery import app as celery_app

__all__ = ["GarageConfig", "celery_app"]


class GarageConfig(AppConfig):
    name = "garage"
    verbose_name = "Garage"
