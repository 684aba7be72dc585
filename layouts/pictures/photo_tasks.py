"""The worker's part in pictures of the portal's own topics: one copy for pages."""

import tempfile
from pathlib import Path
from typing import Any

from layouts.imaging.decoding.encode import save_picture
from layouts.imaging.decoding.files import check_picture
from layouts.imaging.decoding.reading import open_picture
from layouts.imaging.errors import Refused
from layouts.pictures import photos
from layouts.pictures.keeping import keep_made
from portal.files.sending import on_disk
from portal.models import Work
from portal.work.handlers import CannotBeDone, handler


@handler(photos.PHOTO)
def make_photo(work: Work) -> dict[str, Any]:
    """An upright sRGB copy without what the camera noted beside the picture. Result: {photo: {path, type, …}}."""
    try:
        with on_disk(work.inputs["path"]) as path, tempfile.TemporaryDirectory() as folder:
            facts = check_picture(path)
            scale = min(1.0, work.inputs["side"] / max(facts.width, facts.height))
            width, height = (max(1, round(scale * side)) for side in (facts.width, facts.height))
            out = Path(folder) / "photo.jpg"
            save_picture(open_picture(path, scale).cut(None, (width, height)), out)
            return keep_made(work, {"photo": {"file": out, "type": "jpg", "width": width, "height": height}})
    except Refused as reason:
        raise CannotBeDone(reason.sentence) from reason
