"""Protects the first five minutes: deploy/start on a bare folder, again, on a taken port, without Python or disk,
on what an earlier try left."""

import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.services import BASE, environment, is_well, wait_for

spec = importlib.util.spec_from_file_location("deploy_run", BASE / "deploy" / "run.py")
run = importlib.util.module_from_spec(spec)
spec.loader.exec_module(run)


def start(env: dict[str, str], says: Path) -> subprocess.Popen:
    with says.open("w") as out:
        return subprocess.Popen([BASE / "deploy" / "start"], env=env, stdout=out, stderr=subprocess.STDOUT)


def children_of(data: str) -> list[str]:
    """Processes that run with this folder of data."""
    found = []
    for place in Path("/proc").glob("[0-9]*/environ"):
        try:
            if f"BRIEFLOCK_DATA={data}\0".encode() in place.read_bytes():
                found.append(place.parent.name)
        except OSError:
            continue
    return found


@pytest.mark.services
def test_start_serves_twice_from_one_folder_and_leaves_nothing_running(tmp_path):
    env = environment(tmp_path, BRIEFLOCK_DEMO="0")
    says = tmp_path / "said.txt"

    for _ in range(2):
        portal = start(env, says)
        try:
            # It serves a moment before it says so.
            wait_for(lambda: "Brieflock is at " + env["BRIEFLOCK_ADDRESS"] in says.read_text(), "the address", 60)
            assert is_well(env["BRIEFLOCK_ADDRESS"])
            makes = next(line for line in says.read_text().splitlines() if " add_person you@example.org " in line)
            made = subprocess.run(["bash", "-c", makes], cwd=tmp_path, capture_output=True, text=True, check=True)
            assert "may start campaigns" in made.stdout
            second = subprocess.run([BASE / "deploy" / "start"], env=env, capture_output=True, text=True, check=False)
            assert (second.returncode, "is taken by another program" in second.stderr) == (1, True)
        finally:
            portal.send_signal(signal.SIGINT)
        assert portal.wait(20) == 0
        assert children_of(env["BRIEFLOCK_DATA"]) == []


def test_taken_port_is_said_with_the_way_out(monkeypatch, tmp_path):
    monkeypatch.setattr(run, "DATA", tmp_path)
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        monkeypatch.setattr(run, "PORT", str(other.getsockname()[1]))
        with pytest.raises(run.Stop, match="is taken by another program"):
            run.check_ground()


def test_full_disk_is_said_before_anything_starts(monkeypatch, tmp_path):
    monkeypatch.setattr(run, "DATA", tmp_path)
    monkeypatch.setattr(run, "PORT", "1")
    monkeypatch.setattr(run, "BIND", "127.0.0.1")
    monkeypatch.setattr(run.socket.socket, "bind", lambda *_: None)
    monkeypatch.setattr(run.shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10**9, 10**9, 5 * 1024**2))
    with pytest.raises(run.Stop, match="The disk has 5 MB free"):
        run.check_ground()


@pytest.mark.parametrize("within", ["", "below", "further/below"])
def test_a_file_where_the_data_should_lie_is_said_and_left_as_it_is(monkeypatch, tmp_path, within):
    file = tmp_path / "notes.txt"
    file.write_text("mine")
    monkeypatch.setattr(run, "DATA", file / within)
    monkeypatch.setattr(run, "PORT", "1")
    monkeypatch.setattr(run.socket.socket, "bind", lambda *_: None)
    with pytest.raises(run.Stop, match=f"{file} is a file. Name a folder"):
        run.check_ground()
    assert file.read_text() == "mine"


def test_the_demos_people_are_told_where_there_are_any(monkeypatch, tmp_path):
    monkeypatch.setattr(run, "DATA", tmp_path)
    assert " add_person you@example.org " in run.told_who_signs_in()
    (tmp_path / "people.txt").write_text("Ida, with her password")
    assert run.told_who_signs_in() == "Ida, with her password"


def install(folder: Path) -> subprocess.CompletedProcess:
    """deploy/install in a folder with a .venv, where nothing is pinned."""
    shutil.copytree(BASE / "deploy", folder / "deploy")
    (folder / "deploy/requirements.txt").write_text("")
    env = os.environ | {"PIP_NO_INDEX": "1"}
    return subprocess.run([folder / "deploy/install"], env=env, capture_output=True, text=True, check=False)


def test_a_venv_that_was_broken_off_before_it_had_pip_gets_it(tmp_path):
    venv = tmp_path / ".venv"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", venv], check=True)
    done = install(tmp_path)
    assert (done.returncode, "has no pip" in done.stderr) == (0, True), done.stderr
    assert (venv / "brieflock-portal").exists()
    subprocess.run([venv / "bin/python", "-m", "pip", "--version"], check=True, capture_output=True)


def test_a_venv_that_cannot_be_mended_is_said_with_the_way_out(tmp_path):
    python = tmp_path / ".venv/bin/python"
    python.parent.mkdir(parents=True)
    python.write_text("#!/bin/bash\n[ $1 = -c ]\n")
    python.chmod(0o755)
    done = install(tmp_path)
    assert (done.returncode, done.stderr.endswith("Remove it and run this again.\n")) == (1, True), done.stderr
    assert not (tmp_path / ".venv/brieflock-portal").exists()


@pytest.mark.parametrize("there", ["nothing", "an old one"])
def test_missing_python_is_said_with_the_versions_that_work(tmp_path, there):
    shutil.copytree(BASE / "deploy", tmp_path / "deploy")
    tools = tmp_path / "bin"
    tools.mkdir()
    for name in ("bash", "dirname", "cat", "cksum", "df", "awk", "env"):
        (tools / name).symlink_to(shutil.which(name))
    if there == "an old one":
        (tools / "python3").write_text('#!/bin/bash\n[ "$1" = --version ] && echo Python 3.9.2\n[ "$1" = --version ]\n')
        (tools / "python3").chmod(0o755)

    done = subprocess.run(
        [tools / "bash", tmp_path / "deploy" / "install"],
        env={"PATH": str(tools)},
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 1
    assert "needs Python 3.11, 3.12 or 3.13" in done.stderr
    assert ("The python3 here is Python 3.9.2." in done.stderr) == (there == "an old one")


def test_versions_said_are_the_versions_checked():
    """What pyproject.toml promises is what deploy/install lets in."""
    text = (BASE / "pyproject.toml").read_text()
    assert 'requires-python = ">=3.11,<3.14"' in text
    assert "(3, 11) <= sys.version_info[:2] <= (3, 13)" in (BASE / "deploy" / "install").read_text()
    assert (3, 11) <= sys.version_info[:2] <= (3, 13), os.environ.get("PATH")
