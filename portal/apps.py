from django.apps import AppConfig


class PortalConfig(AppConfig):
    name = "portal"

    def ready(self) -> None:
        from portal.brief import campaign_section
        from portal.site import celery

        campaign_section.register()
        assert celery.app  # noqa: S101  loaded with Django, so that messages are sent by this app
