"""Writes files as a whole or not at all, never half."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from shutil import copymode
from tempfile import NamedTemporaryFile


def write_whole(texts: Mapping[Path, str]) -> None:
    """Replace files by new text: each as a whole, and all of them or, where one cannot be written, none.

    Raises
    ------
    OSError
        When one cannot be written; then all are as they were.
    """
    before = {path: path.read_bytes() if path.exists() else None for path in texts}
    written: dict[Path, Path] = {}
    replaced: list[Path] = []
    try:
        for path, text in texts.items():
            written[path] = _beside(path, text)
        for path, new in written.items():
            new.replace(path)
            replaced.append(path)
    except OSError:
        for path in replaced:
            _restore(path, before[path])
        for new in written.values():
            new.unlink(missing_ok=True)
        raise


def _beside(path: Path, text: str) -> Path:
    """Write the text to a new file beside the old one, and return that."""
    with NamedTemporaryFile("w", dir=path.parent, suffix=".new", encoding="utf-8", delete=False) as file:
        new = Path(file.name)
        try:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
            if path.exists():
                copymode(path, new)
        except OSError:
            new.unlink()
            raise
    return new


def _restore(path: Path, content: bytes | None) -> None:
    if content is None:
        path.unlink()
    else:
        path.write_bytes(content)
