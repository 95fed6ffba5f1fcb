"""The queue that wakes the worker. The database rows say what there is to do."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "school.config.settings")

app = Celery("marram")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
