"""Settings, site map and entries. Binds the Celery app so that shared tasks find it."""

from config.celery import app as celery_app

__all__ = ["celery_app"]
