from django.apps import AppConfig

from garage.celery import app

__all__ = ["GarageConfig", "app"]  # the Celery app: tasks are its own from the start


class GarageConfig(AppConfig):
    name = "garage"
    verbose_name = "Garage"
