"""The embedded default's queue, a folder of files, made safe: a message appears whole or not at all."""

import uuid
from pathlib import Path
from time import monotonic_ns
from typing import Any

from kombu.transport import filesystem
from kombu.utils.json import dumps


class WholeMessages(filesystem.Channel):
    """kombu opens a message's file under its final name and writes into it afterwards.

    A worker that looks in between reads nothing, and ends with an error that it calls unrecoverable (seen under load).
    """

    def _put(self, queue: str, payload: dict[str, Any], **kwargs: Any) -> None:  # type: ignore[override]
        # The worker takes the files in the order of their names.
        name = f"{monotonic_ns() // 1_000_000}_{uuid.uuid4()}.{queue}.msg"
        part = Path(self.data_folder_out) / f".{name}.part"
        part.write_text(dumps(payload))
        part.replace(part.with_name(name))


def install() -> None:
    """Let Celery's filesystem transport use it."""
    filesystem.Transport.Channel = WholeMessages
