"""Uploads stream to disk and are hashed on the way; nothing is held in memory."""

import hashlib
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import StopUpload, TemporaryFileUploadHandler


class StreamToStore(TemporaryFileUploadHandler):
    """Write each file to a temporary one; it carries `sha256` when it is whole."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        self._hash = hashlib.sha256()
        self._seen = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        self._seen += len(raw_data)
        if self._seen > settings.MAX_UPLOAD_BYTES:
            raise StopUpload(connection_reset=True)
        self._hash.update(raw_data)
        super().receive_data_chunk(raw_data, start)

    def file_complete(self, file_size: int) -> UploadedFile | None:
        whole = super().file_complete(file_size)
        if whole is not None:
            whole.sha256 = self._hash.hexdigest()  # type: ignore[attr-defined]
        return whole
