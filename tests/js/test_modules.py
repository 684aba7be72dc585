"""Protects the scripts that have no DOM (geometry, words): runs their tests with node's own runner."""

import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
NODE = shutil.which("node")


@pytest.mark.skipif(NODE is None, reason="node is not installed")
def test_modules_without_dom_pass_their_own_tests():
    files = sorted(str(path) for path in HERE.glob("*.test.mjs"))
    done = subprocess.run([NODE, "--test", *files], capture_output=True, text=True, check=False)
    assert files
    assert done.returncode == 0, done.stdout + done.stderr
