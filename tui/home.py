"""Where Rungwise keeps its things: one logbook, what is known of the sensors, and one recording a session."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from hashlib import sha256
from pathlib import Path
from uuid import UUID

from platformdirs import user_data_path

SUFFIX = ".rungwise"
FROM_COACH = ".from-coach.toml"
"""How the file of a plan ends that a coach sent and that was not taken, since the plan was changed here, too."""
_FOR_FILES = {" ": "_"}
_MOST_BYTES = 220
"""Of a file's name before its endings; file systems take 255 with them."""


class HomeError(OSError):
    """The folder cannot be used; the message says what to do next."""


@dataclass(frozen=True, slots=True)
class Home:
    """A folder that holds a logbook and its recordings; made when first used."""

    folder: Path

    @classmethod
    def default(cls) -> Home:
        """Return the user's own data folder of this system."""
        return cls(user_data_path("rungwise", appauthor=False))

    @classmethod
    def demo(cls) -> Home:
        """Return the demonstration's own folder, so that neither disturbs the other."""
        return cls(cls.default().folder / "demo")

    @property
    def logbook(self) -> Path:
        """The progression log."""
        _make(self.folder)
        return self.folder / "logbook.sqlite"

    @property
    def crashes(self) -> Path:
        """What is kept of faults of the program (`tui.crash`)."""
        _make(self.folder)
        return self.folder / "crash.log"

    @property
    def quiet(self) -> Path:
        """A file that is there while sessions are to be silent (`tui.sound`)."""
        _make(self.folder)
        return self.folder / "quiet"

    @property
    def sensors(self) -> Path:
        """What is known of each sensor (`tui.sensors.sensors`)."""
        _make(self.folder)
        return self.folder / "sensors.json"

    @property
    def hub(self) -> Path:
        """The folder of the hub's accounts and certificates (`tui.hub`); it need not be there."""
        return self.folder / "hub"

    @property
    def words(self) -> Path:
        """What a coach said to stations, and what became of it (`tui.floor`)."""
        _make(self.folder)
        return self.folder / "words.json"

    @property
    def answered(self) -> Path:
        """What was answered to a coach's words (`tui.share`)."""
        _make(self.folder)
        return self.folder / "answered.json"

    @property
    def plans(self) -> Path:
        """The folder of the plans; it need not be there."""
        return self.folder / "plans"

    def plan(self, name: str) -> Path:
        """Return the file of a trainee's plan: the name, with all but letters, digits and hyphens written otherwise.

        Of a name that is too long for a file the beginning stands, and a digest of all of it.
        """
        return self.plans / f"{_file_name(name)}.toml"

    def recording(self, session_id: UUID) -> Path:
        """Return the file of one session's raw packets."""
        recordings = self.folder / "recordings"
        _make(recordings)
        return recordings / f"{session_id}{SUFFIX}"

    def recordings_of(self, id_letters: str) -> list[Path]:
        """Return the recordings whose session's id begins with these letters."""
        found = (self.folder / "recordings").glob(f"*{SUFFIX}")
        return sorted(path for path in found if path.name.startswith(id_letters))


def _file_name(name: str) -> str:
    safe = "".join(one if one.isalnum() or one == "-" else _FOR_FILES.get(one, f"%{ord(one):02X}") for one in name)
    if len(safe.encode()) <= _MOST_BYTES:
        return safe
    whole = sha256(safe.encode()).hexdigest()[:16]
    return f"{safe.encode()[: _MOST_BYTES - 17].decode(errors='ignore')}-{whole}"


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise HomeError(f"{folder} cannot be made ({error.strerror}). Name another folder with --home.") from error


def day_of(utc_us: int) -> date:
    """Return the calendar day, here, of a moment (µs since 1970-01-01 UTC)."""
    return datetime.fromtimestamp(utc_us / 1e6, UTC).astimezone().date()
