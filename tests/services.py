"""Real servers for tests, each on a private port with data of its own: PostgreSQL, Redis, nginx, web and worker."""

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

BASE = Path(__file__).resolve().parents[1]
BIN = Path(sys.executable).parent


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(ready: Callable[[], bool], what: str, seconds: float = 30) -> None:
    """Wait until `ready()`; a service that does not come is a failure, never a skip."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        with contextlib.suppress(OSError):
            if ready():
                return
        time.sleep(0.05)
    raise AssertionError(f"{what} was not there within {seconds:.0f} seconds")


def listens(port: int) -> bool:
    with socket.create_connection(("127.0.0.1", port), timeout=1):
        return True


def needed(name: str, *places: str) -> str:
    """The path of a program that the tests need."""
    path = shutil.which(name, path=os.pathsep.join([os.environ["PATH"], "/usr/sbin", *places]))
    assert path, f"{name} is not installed; deploy/check installs it when run as root"
    return path


@contextlib.contextmanager
def running(command: list[str], log: Path, **kwargs: object) -> Iterator[subprocess.Popen]:
    """A process in a session of its own, ended with all its children."""
    with log.open("ab") as out:
        process = subprocess.Popen(command, stdout=out, stderr=out, start_new_session=True, **kwargs)
    try:
        yield process
    finally:
        end(process)


def end(process: subprocess.Popen) -> None:
    if process.poll() is None:
        process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(8)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(5)


@contextlib.contextmanager
def postgres(folder: Path) -> Iterator[str]:
    """A PostgreSQL cluster; its URL. Durability is off: it lives as long as the test."""
    places = [str(path) for path in sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)]
    initdb, server = needed("initdb", *places), needed("postgres", *places)
    data, port = folder / "postgres", free_port()
    data.mkdir(mode=0o700)
    become: list[str] = []
    if os.geteuid() == 0:
        # The server refuses to run as root. Its user must be able to walk to its data.
        shutil.chown(data, "postgres")
        for parent in data.parents:
            if parent.stat().st_uid == 0 and parent.stat().st_mode & 0o001 == 0:
                parent.chmod(parent.stat().st_mode | 0o011)
        become = ["runuser", "-u", "postgres", "--"]
    subprocess.run(
        [*become, initdb, "-D", str(data), "-U", "brieflock", "-A", "trust", "-E", "UTF8", "--no-sync"],
        check=True,
        capture_output=True,
        cwd="/",
    )
    # No autovacuum: statistics taken while tables are empty, between two tests, make plans that never end.
    options = [
        "-c",
        "fsync=off",
        "-c",
        "autovacuum=off",
        "-c",
        "listen_addresses=127.0.0.1",
        "-c",
        f"unix_socket_directories={data}",
    ]
    with running([*become, server, "-D", str(data), "-p", str(port), *options], folder / "postgres.log", cwd="/"):
        wait_for(lambda: listens(port), "PostgreSQL")
        createdb = needed("createdb", *places)
        wait_for(
            lambda: (
                not subprocess.run(
                    [createdb, "-h", "127.0.0.1", "-p", str(port), "-U", "brieflock", "brieflock"], capture_output=True
                ).returncode
            ),
            "the database",
        )
        yield f"postgresql://brieflock@127.0.0.1:{port}/brieflock"


@contextlib.contextmanager
def redis(folder: Path) -> Iterator[str]:
    port = free_port()
    command = [needed("redis-server"), "--port", str(port), "--save", "", "--dir", str(folder), "--bind", "127.0.0.1"]
    with running(command, folder / "redis.log"):
        wait_for(lambda: listens(port), "Redis")
        yield f"redis://127.0.0.1:{port}/0"


def is_well(address: str) -> bool:
    with urllib.request.urlopen(address + "/health/", timeout=5) as answer:
        return answer.status == 200


@dataclass
class Portal:
    """A portal that runs: its address, its environment, its processes."""

    address: str
    env: dict[str, str]
    folder: Path
    web: subprocess.Popen
    worker: subprocess.Popen

    def manage(self, *words: str, **kwargs: object) -> str:
        """Run a command of manage.py beside it; what it printed."""
        return manage(self.env, *words, **kwargs)


def manage(env: dict[str, str], *words: str, **kwargs: object) -> str:
    done = subprocess.run(
        [sys.executable, "manage.py", *words], cwd=BASE, env=env, capture_output=True, text=True, check=False, **kwargs
    )
    assert done.returncode == 0, f"manage.py {' '.join(words)}: {done.stdout}\n{done.stderr}"
    return done.stdout


def worker_command(env: dict[str, str], *more: str) -> list[str]:
    return [
        *(str(BIN / "celery"), "-A", "portal.site.celery", "worker", "--pool=prefork", "--concurrency=1"),
        *("--loglevel=INFO", "--without-gossip", "--without-mingle", "--without-heartbeat"),
        *("-B", "-s", env["BRIEFLOCK_DATA"] + "/beat"),
        *more,
    ]


def environment(folder: Path, **more: str) -> dict[str, str]:
    data = folder / "data"
    port = free_port()
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("BRIEFLOCK_", "DJANGO_"))}
    return clean | {
        "BRIEFLOCK_DATA": str(data),
        "BRIEFLOCK_ADDRESS": f"http://localhost:{port}",
        "BRIEFLOCK_PORT": str(port),
        "BRIEFLOCK_SWEEP_SECONDS": "2",
        "DJANGO_SETTINGS_MODULE": "portal.site.settings",
        **more,
    }


@contextlib.contextmanager
def portal(folder: Path, env: dict[str, str]) -> Iterator[Portal]:
    """Database and static files made, gunicorn and one prefork worker running as they do for people."""
    manage(env, "make_ready")
    gunicorn = [str(BIN / "gunicorn"), "-c", "deploy/gunicorn.conf.py", "-b", f"127.0.0.1:{env['BRIEFLOCK_PORT']}"]
    with (
        running([*gunicorn, "portal.site.wsgi"], folder / "web.log", cwd=BASE, env=env) as web,
        running(worker_command(env), folder / "worker.log", cwd=BASE, env=env) as worker,
    ):
        address = env["BRIEFLOCK_ADDRESS"]
        wait_for(lambda: is_well(address), "the portal")
        yield Portal(address, env, folder, web, worker)


@contextlib.contextmanager
def backend(name: str, folder: Path, **more: str) -> Iterator[dict[str, str]]:
    """The environment of a portal: "embedded" (SQLite, filesystem queue) or "servers" (PostgreSQL, Redis)."""
    folder.mkdir(parents=True, exist_ok=True)
    if name == "embedded":
        yield environment(folder, **more)
        return
    with postgres(folder) as database, redis(folder) as broker:
        yield environment(folder, BRIEFLOCK_DATABASE_URL=database, BRIEFLOCK_BROKER_URL=broker, **more)
