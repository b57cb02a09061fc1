"""The worker's entry and the periodic jobs.

The truth of background work is a ``Job`` row; a message only wakes a worker. The sweep re-sends
what a lost message or a dead worker left behind.
"""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

app = Celery("gambrel")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
