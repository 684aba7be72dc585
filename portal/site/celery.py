"""The Celery application: `celery -A portal.site.celery worker`."""

import os

from celery import Celery

from portal.site import folder_queue

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.site.settings")
folder_queue.install()
app = Celery("brieflock")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["portal.work", "portal.notices", "layouts.overlays", "layouts.pictures", "layouts.previews"])
app.autodiscover_tasks(["layouts.overlays"], related_name="look_tasks")
app.autodiscover_tasks(["layouts.pictures"], related_name="photo_tasks")
app.autodiscover_tasks(["layouts.capture"], related_name="overlay_tasks")
