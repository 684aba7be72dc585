"""Where tests keep the demo's layouts: drawn once within one check, whichever process needs them first."""

import os
from pathlib import Path

# A folder that deploy/check makes and takes away; without it, as when one file is run, they are drawn for that file.
KEPT = "BRIEFLOCK_TESTS_KEPT"


def layouts(otherwise: Path) -> Path:
    """The folder for `fixtures.demo.build`; `otherwise` where nothing is kept."""
    folder = Path(os.environ[KEPT]) / "layouts" if os.environ.get(KEPT) else otherwise
    folder.mkdir(exist_ok=True)
    return folder
