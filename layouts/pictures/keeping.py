"""Putting what a worker has made into the store."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from portal.files.sending import put_derived
from portal.models import Work


def keep_made(work: Work, made: Mapping[str, Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """Move files into the store under the key of their work: which -> {path, type, width, height, bytes}.

    `made`: which -> {file: Path, type, width, height}. The same work puts the same files in the same places.
    """
    folder = f"derived/{work.kind.partition('.')[2]}/{work.key[:2]}/{work.key}"
    kept = {}
    for which, facts in made.items():
        source: Path = facts["file"]
        size = source.stat().st_size
        path = put_derived(f"{folder}/{which}.{facts['type']}", source)
        kept[which] = {**{name: facts[name] for name in ("type", "width", "height")}, "path": path, "bytes": size}
    return kept
