from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest

from analysis.logbook.book import Logbook


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "home" / "logbook.db"


@pytest.fixture
def book(path: Path) -> Iterator[Logbook]:
    with Logbook.open(path) as opened:
        yield opened


@pytest.fixture
def ines(book: Logbook) -> UUID:
    return book.add_trainee("Ines").id
