"""Handing private files over, once a view has decided that the reader may have them."""

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import cast
from urllib.parse import quote

from django.conf import settings
from django.core.files import File
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control

from portal.files.names import attachment, download_name

MIME = {
    "png": "image/png",
    "jpeg": "image/jpeg",
    "jpg": "image/jpeg",
    "tiff": "image/tiff",
    "webp": "image/webp",
    "pdf": "application/pdf",
    "psd": "image/vnd.adobe.photoshop",
    "zip": "application/zip",
}


def send(request: HttpRequest, path: str, *, type: str, name: str = "", etag: str = "") -> HttpResponse:
    """Answer with a stored file: by nginx where it serves the store, else by the portal itself.

    `path` is its name in storage, `type` a key of MIME; with `name` it is a download of that name. `etag` names
    bytes that never change (a digest), so that a browser may keep them without asking again.
    """
    answer: HttpResponse | FileResponse
    if etag and request.headers.get("If-None-Match") == f'"{etag}"':
        answer = HttpResponse(status=304)
    elif settings.ACCEL_PREFIX:
        answer = HttpResponse(headers={"X-Accel-Redirect": settings.ACCEL_PREFIX + quote(path)})
        answer.headers["Content-Type"] = MIME[type]
    else:
        try:
            answer = FileResponse(default_storage.open(path), content_type=MIME[type])
        except FileNotFoundError as gone:
            raise Http404("The file is not in the store.") from gone
    if name:
        answer.headers["Content-Disposition"] = attachment(download_name(name, type))
    answer.headers["X-Content-Type-Options"] = "nosniff"
    if etag:
        answer.headers["ETag"] = f'"{etag}"'
        patch_cache_control(answer, private=True, max_age=31_536_000, immutable=True)
    else:
        patch_cache_control(answer, private=True, no_store=True)
    return cast(HttpResponse, answer)  # what a view returns, also when it streams


@contextlib.contextmanager
def on_disk(path: str) -> Iterator[Path]:
    """A stored file as a path that image libraries can open; a copy where the store is not on this disk."""
    try:
        yield Path(default_storage.path(path))
    except NotImplementedError:
        with tempfile.NamedTemporaryFile() as copy, default_storage.open(path) as source:
            for chunk in source.chunks():
                copy.write(chunk)
            copy.flush()
            yield Path(copy.name)


def put_derived(path: str, source: Path) -> str:
    """Move a file made by the worker into the store under `path`, replacing what an earlier try left there."""
    if default_storage.exists(path):
        default_storage.delete(path)
    with source.open("rb") as made:
        return default_storage.save(path, File(made))
