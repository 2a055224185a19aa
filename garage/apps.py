from django.apps import AppConfig

from garage.celery import app

__all__ = ["GarageConfig", "app"]  # imported here so that tasks use our Celery app from the start


class GarageConfig(AppConfig):
    name = "garage"
    verbose_name = "Garage"
