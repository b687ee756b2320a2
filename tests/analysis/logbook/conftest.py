from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from analysis.logbook.book import Logbook


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "home" / "logbook.db"


@pytest.fixture
def book(path: Path) -> Iterator[Logbook]:
    with Logbook.open(path) as opened:
        yield opened
