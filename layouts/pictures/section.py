"""The section "pictures": each shot's mockup with its hero zone, and each placement's crop of it."""

from typing import Any

from layouts.pictures import queries
from layouts.pictures.readiness import KINDS, ready
from layouts.previews import subject
from layouts.previews.queries import crops
from portal.brief import sections
from portal.brief.sections import Section
from portal.models import Campaign
from portal.talk import subjects


def assemble(campaign: Campaign) -> dict[str, Any]:
    """Mockups by their shot's key, crops by their placement's; zones and crops in fractions of the mockup."""
    shots = list(campaign.shots.all())
    mockups = queries.current(shots)
    return {
        "mockups": [
            {
                "id": shot.key,
                "number": shot.number,
                "title": shot.title,
                "file": mockup.name,
                "sha256": mockup.file.sha256,
                "width": mockup.file.width,
                "height": mockup.file.height,
                "revision": mockup.revision,
                "picture": mockup.key,
                "hero": mockup.hero,
            }
            for shot in shots
            if (mockup := mockups.get(shot.pk))
        ],
        "crops": [
            {
                "id": row.placement.key,
                "shot": row.placement.shot.key,
                "format": row.placement.format.name,
                "language": row.placement.language,
                "crop": row.crop,
                "set": row.placement.crop is not None,
            }
            for row in crops(campaign)
        ],
    }


def register() -> None:
    sections.register(
        Section("pictures", "Pictures", 32, assemble, "layouts/pictures/section.html", ready, kinds=KINDS)
    )
    subjects.register("placement", subject.find)
