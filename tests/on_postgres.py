"""Run pytest on PostgreSQL, started for it on a private port: `python -m tests.on_postgres [pytest's words]`."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.services import postgres

if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder, postgres(Path(folder)) as url:
        env = os.environ | {"BRIEFLOCK_DATABASE_URL": url}
        sys.exit(subprocess.run([sys.executable, "-m", "pytest", *sys.argv[1:]], env=env).returncode)
