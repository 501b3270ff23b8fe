"""Where the data lives and how the app is set; everything comes from the environment or a default."""

import os
import secrets
import sys
from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa

from app.shared.errors import PlainError

ROOT = Path(__file__).resolve().parent.parent
LARGEST_UPLOAD = 32 * 1024 * 1024


class NetworkDriveError(PlainError):
    """SQLite's locks do not hold on a network drive."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            f"{path} is on a network drive, where a database file can be damaged. "
            "Choose a folder on this computer's own disk with LOTWRIGHT_DATA."
        )


class UnusableUrlError(PlainError):
    """LOTWRIGHT_DATABASE_URL names no database that this program can use."""

    def __init__(self) -> None:
        super().__init__(
            "LOTWRIGHT_DATABASE_URL is not the address of a SQLite or PostgreSQL database. "
            "Write it like postgresql+psycopg://user@computer/lotwright, or leave it out."
        )


@dataclass(frozen=True, slots=True)
class Config:
    """The settings of one running Lotwright."""

    database_url: str
    data_folder: Path
    secret_key: str
    testing: bool = False


def data_folder() -> Path:
    """Return the user's data folder for Lotwright: LOTWRIGHT_DATA, or the system's usual place."""
    chosen = os.environ.get("LOTWRIGHT_DATA")
    if chosen:
        return Path(chosen).expanduser().resolve()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "Lotwright"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "Lotwright"
    return Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share")) / "lotwright"


def compiled_folder(folder: Path) -> Path:
    """Return where in a data folder the machine code of the planner's kernels is kept."""
    return folder / "compiled"


def database_url(folder: Path) -> str:
    """Return LOTWRIGHT_DATABASE_URL, or the SQLite file in ``folder``.

    Raises:
        NetworkDriveError: the SQLite file would lie on a network drive.
        UnusableUrlError: LOTWRIGHT_DATABASE_URL names neither SQLite nor PostgreSQL.
    """
    chosen = os.environ.get("LOTWRIGHT_DATABASE_URL")
    if chosen:
        refuse_unusable_url(chosen)
        return chosen
    refuse_network_drive(folder)
    return sqlite_url(folder / "lotwright.sqlite3")


def refuse_unusable_url(url: str) -> None:
    """Refuse an address for whose database there is no driver here.

    Raises:
        UnusableUrlError: it is one, or no address at all.
    """
    try:
        driver = sa.make_url(url).drivername
    except sa.exc.ArgumentError as error:
        raise UnusableUrlError from error
    if driver not in {"sqlite", "postgresql+psycopg"}:
        raise UnusableUrlError


def sqlite_url(file: Path) -> str:
    """Return the URL of a SQLite database file."""
    return f"sqlite:///{file.resolve().as_posix()}"


def load_config() -> Config:
    """Read the settings of this computer, making the data folder and its secret key where there are none.

    Raises:
        NetworkDriveError: the SQLite file would lie on a network drive.
        UnusableUrlError: LOTWRIGHT_DATABASE_URL names neither SQLite nor PostgreSQL.
    """
    folder = data_folder()
    url = database_url(folder)
    folder.mkdir(parents=True, exist_ok=True)
    return Config(database_url=url, data_folder=folder, secret_key=_secret_key(folder))


def _secret_key(folder: Path) -> str:
    file = folder / "secret-key"
    if not file.exists():
        descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w", encoding="ascii") as handle:
            handle.write(secrets.token_hex(32))
    return file.read_text(encoding="ascii").strip()


def refuse_network_drive(path: Path) -> None:
    """Refuse a folder whose file system is known to be shared over the network.

    Raises:
        NetworkDriveError: it is one.
    """
    if _is_network_drive(path):
        raise NetworkDriveError(path)


def _is_network_drive(path: Path) -> bool:
    if sys.platform == "win32":
        return _is_windows_network_drive(path)
    return _file_system_type(path.absolute(), _mounts()) in NETWORK_FILE_SYSTEMS


def _is_windows_network_drive(path: Path) -> bool:
    if str(path).startswith("\\\\"):
        return True
    import ctypes  # noqa: PLC0415 - windll exists on Windows only

    remote = 4
    return bool(getattr(ctypes, "windll").kernel32.GetDriveTypeW(path.anchor) == remote)  # noqa: B009 - absent elsewhere


NETWORK_FILE_SYSTEMS = {"nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "fuse.sshfs", "9p"}


def _mounts() -> list[tuple[str, str]]:
    table = Path("/proc/mounts")
    if not table.exists():
        return []
    rows = [line.split() for line in table.read_text(encoding="utf-8").splitlines()]
    return [(row[1], row[2]) for row in rows if len(row) >= 3]


def _file_system_type(path: Path, mounts: list[tuple[str, str]]) -> str:
    matches = [(len(point), kind) for point, kind in mounts if path.is_relative_to(point)]
    return max(matches, default=(0, ""))[1]
