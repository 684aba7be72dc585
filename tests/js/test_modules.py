"""Protects the scripts that have no DOM (geometry, words): runs their tests with node's own runner."""

import subprocess
from pathlib import Path

from tests.services import needed

HERE = Path(__file__).parent


def test_modules_without_dom_pass_their_own_tests():
    files = sorted(str(path) for path in HERE.glob("*.test.mjs"))
    done = subprocess.run([needed("node"), "--test", *files], capture_output=True, text=True, check=False)
    assert files
    assert done.returncode == 0, done.stdout + done.stderr
