"""The main pages of a campaign, by name, for the benchmark and for the counting of queries."""

from collections.abc import Callable

from django.urls import reverse

from tests.bench.rows import Big

# What htmx sends when it fetches a fragment.
FRAGMENT = {"HX-Request": "true"}


def _of_campaign(name: str) -> Callable[[Big], str]:
    return lambda big: reverse(name, args=[big.campaign.key])


# name: its address, and what is sent with it
PAGES: dict[str, tuple[Callable[[Big], str], dict[str, str]]] = {
    "home": (lambda _: reverse("portal:home"), {}),
    "campaign": (_of_campaign("portal:campaign"), {}),
    "street (fragment)": (_of_campaign("layouts:street"), FRAGMENT),
    "contact sheet": (_of_campaign("layouts:sheet"), {}),
    "contact sheet, as seen": (lambda big: reverse("layouts:sheet", args=[big.campaign.key]) + "?as=seen", {}),
    "brief": (_of_campaign("portal:brief"), {}),
    "talk": (_of_campaign("portal:talk"), {}),
    "log": (_of_campaign("portal:log"), {}),
    "people": (_of_campaign("portal:people"), {}),
    "terms": (_of_campaign("portal:terms"), {}),
    "shots": (_of_campaign("shots:shots"), {}),
    "shot": (lambda big: reverse("shots:shot", args=[big.campaign.key, big.shot.key]), {}),
    "shot's pictures (fragment)": (
        lambda big: reverse("layouts:shot-pictures", args=[big.campaign.key, big.shot.key]),
        FRAGMENT,
    ),
    "shot's talk (fragment)": (
        lambda big: reverse("portal:thread", args=[big.campaign.key, "shot", big.shot.key]),
        FRAGMENT,
    ),
    "food and props": (_of_campaign("shots:lists"), {}),
    "formats": (_of_campaign("layouts:formats"), {}),
    "layouts": (_of_campaign("layouts:layouts"), {}),
    "layout": (lambda big: reverse("layouts:layout", args=[big.campaign.key, big.placement.key]), {}),
    "mockup": (lambda big: reverse("layouts:mockup", args=[big.campaign.key, big.shot.key]), {}),
    "stage": (lambda big: reverse("layouts:stage", args=[big.campaign.key, big.placement.key]), {}),
}
