"""The Celery application: `celery -A portal.site.celery worker`."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.site.settings")
app = Celery("brieflock")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["portal.work", "layouts.overlays", "layouts.pictures", "layouts.previews"])
