"""The act of recording a change on set together with its photo."""

from typing import Any

from django.core.files import File
from django.db import transaction

from portal import access
from portal.access import May
from portal.changes import actions
from portal.changes.models import Change
from portal.files import pictures
from portal.people.models import Member


@transaction.atomic
def record(by: Member, *, photo: File | None, **told: Any) -> Change:
    """Keep the photo, owe its copy for pages, and record the change; a retried request finds what the first made.

    `told` is what `actions.record_pivot` takes. Raises PermissionDenied, BriefClosed, ValidationError (on "photo" for a
    file that is no picture).
    """
    access.need(by, May.RAISE_CHANGE)
    kept = pictures.keep(photo) if photo else None
    change = actions.record_pivot(by, photo=kept, **told)
    if kept and change.photo_id == kept.pk:
        pictures.owe_copy(kept)
    return change
