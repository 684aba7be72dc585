"""Start web and worker beside each other, say where they are, and stop both on Ctrl-C."""

import contextlib
import errno
import fcntl
import os
import shlex
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

BASE = Path(__file__).resolve().parents[1]
BIN = Path(sys.executable).parent
PORT = os.environ.get("BRIEFLOCK_PORT", "8000")
BIND = os.environ.get("BRIEFLOCK_BIND", "127.0.0.1")
DATA = Path(os.environ.get("BRIEFLOCK_DATA") or BASE / ".data")
ADDRESS = os.environ.get("BRIEFLOCK_ADDRESS", f"http://localhost:{PORT}")
LEAST_FREE_MIB = 300


class Stop(Exception):
    """Starting cannot go on; the message is the sentence for whoever started it."""


def check_ground() -> None:
    """Port, folder and disk, before anything is started."""
    if not PORT.isdigit() or not 0 < int(PORT) < 65536:
        raise Stop(f"BRIEFLOCK_PORT is {PORT!r}; it must be a number from 1 to 65535.")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((BIND, int(PORT)))
        except OSError as wrong:
            if wrong.errno == errno.EADDRINUSE:
                raise Stop(
                    f"Port {PORT} is taken by another program. Stop it, or choose another port: "
                    f"BRIEFLOCK_PORT=8001 deploy/start"
                ) from wrong
            raise Stop(f"Port {PORT} on {BIND} cannot be used: {wrong.strerror}.") from wrong
    if file := next((place for place in (DATA, *DATA.parents) if place.exists() and not place.is_dir()), None):
        raise Stop(
            f"The data are to lie in the folder {DATA}, and {file} is a file. Name a folder, which is made where there "
            "is none: BRIEFLOCK_DATA=/path deploy/start"
        )
    try:
        DATA.mkdir(parents=True, exist_ok=True)
        (DATA / "write-test").write_text("")
        (DATA / "write-test").unlink()
    except OSError as wrong:
        raise Stop(f"The folder {DATA} cannot be written: {wrong.strerror}.") from wrong
    free = shutil.disk_usage(DATA).free // 1024**2
    if free < LEAST_FREE_MIB:
        raise Stop(
            f"The disk has {free} MB free where {DATA} lies, and Brieflock wants {LEAST_FREE_MIB} MB to work. "
            "Free some, or name another folder: BRIEFLOCK_DATA=/path deploy/start"
        )


def hold_data() -> object:
    """Only one start at a time may run from one folder of data."""
    lock = (DATA / "lock").open("w")
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as wrong:
        raise Stop(f"Brieflock is running already from {DATA}.") from wrong
    return lock


def environment() -> dict[str, str]:
    return os.environ | {
        "BRIEFLOCK_DATA": str(DATA),
        "BRIEFLOCK_ADDRESS": ADDRESS,
        "DJANGO_SETTINGS_MODULE": "portal.site.settings",
        "PYTHONUNBUFFERED": "1",
    }


def commands() -> dict[str, list[str]]:
    return {
        "web": [str(BIN / "gunicorn"), "-c", "deploy/gunicorn.conf.py", "-b", f"{BIND}:{PORT}", "portal.site.wsgi"],
        "worker": [
            *(str(BIN / "celery"), "-A", "portal.site.celery", "worker", "--pool=prefork", "--concurrency=1"),
            *("--loglevel=WARNING", "--without-gossip", "--without-mingle", "--without-heartbeat"),
            *("-B", "-s", str(DATA / "beat")),
        ],
    }


def launch(name: str, log: Path) -> subprocess.Popen:
    # A session of its own: Ctrl-C reaches only this program, which then stops them in order.
    with log.open("ab") as out:
        return subprocess.Popen(
            commands()[name], cwd=BASE, env=environment(), stdout=out, stderr=out, start_new_session=True
        )


def stop(children: dict[str, subprocess.Popen]) -> None:
    for child in children.values():
        if child.poll() is None:
            child.terminate()
    deadline = time.monotonic() + 10
    for child in children.values():
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.wait(max(0.1, deadline - time.monotonic()))
        # The whole session, for children of a child that did not stop in time.
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)


def told_who_signs_in() -> str:
    """The demo's people; on a portal of one's own, which has nobody at first, how the first account is made."""
    if (DATA / "people.txt").exists():
        return (DATA / "people.txt").read_text()
    data, python, manage = (shlex.quote(str(path)) for path in (DATA.resolve(), sys.executable, BASE / "manage.py"))
    return (
        "An account is made by this command, with your address and name; it then signs in with a code by e-mail:\n"
        f"  BRIEFLOCK_DATA={data} {python} {manage} add_person you@example.org --name 'Your Name' --starts-campaigns"
    )


def wait_until_served(web: subprocess.Popen, log: Path) -> None:
    address = f"http://{'127.0.0.1' if BIND == '0.0.0.0' else BIND}:{PORT}/health/"  # noqa: S104
    for _ in range(600):
        if web.poll() is not None:
            raise Stop(f"The web process stopped at once; its last words are in {log}.")
        with contextlib.suppress(OSError), urllib.request.urlopen(address, timeout=5):
            return
        time.sleep(0.05)
    raise Stop(f"The web process did not answer within 30 seconds; see {log}.")


def main() -> int:
    # Set although it is the default: a shell starts background jobs with it ignored.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGTERM, lambda *_: signal.raise_signal(signal.SIGINT))
    children: dict[str, subprocess.Popen] = {}
    logs = {name: DATA / f"{name}.log" for name in ("web", "worker")}
    try:
        check_ground()
        lock = hold_data()  # noqa: F841  held until this program ends
        # Before web and worker: whoever comes finds the demo whole.
        made = subprocess.run(
            [
                sys.executable,
                "manage.py",
                "make_ready",
                *([] if os.environ.get("BRIEFLOCK_DEMO") == "0" else ["--demo"]),
            ],
            cwd=BASE,
            env=environment(),
            check=False,
        )
        if made.returncode:
            raise Stop("The portal could not be made ready; the reason stands above.")
        children = {name: launch(name, logs[name]) for name in logs}
        wait_until_served(children["web"], logs["web"])
        print(f"\nBrieflock is at {ADDRESS}", flush=True)
        print(told_who_signs_in(), flush=True)
        print(f"Mail lies in {DATA / 'mail'}, logs in {DATA}. Ctrl-C stops web and worker.", flush=True)
        while True:
            time.sleep(0.5)
            if children["web"].poll() is not None:
                raise Stop(f"The web process has stopped; its last words are in {logs['web']}.")
            if children["worker"].poll() is not None:
                print("The worker stopped; starting it again. What it was doing is found by its sweep.", flush=True)
                children["worker"] = launch("worker", logs["worker"])
    except Stop as reason:
        print(reason, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopping ...", flush=True)
        return 0
    finally:
        stop(children)


if __name__ == "__main__":
    sys.exit(main())
