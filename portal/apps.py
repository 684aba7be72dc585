from importlib import import_module

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class PortalConfig(AppConfig):
    name = "portal"

    def ready(self) -> None:
        from portal.brief import campaign_section, rounds_section
        from portal.changes import section as changes
        from portal.notices import following
        from portal.sealing import guard, written
        from portal.site import celery
        from portal.talk import section
        from portal.waivers import section as waivers

        campaign_section.register()
        rounds_section.register()
        section.register()
        changes.register()
        waivers.register()
        following.connect()
        written.connect()
        import_module("portal.notices.tasks")  # with Django, so that every worker and test knows this kind of work
        post_migrate.connect(guard.after_migrate, sender=self)
        assert celery.app  # noqa: S101  loaded with Django, so that messages are sent by this app
