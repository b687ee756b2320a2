"""A home with the default plan of one trainee, written out."""

from __future__ import annotations

from pathlib import Path

import pytest
from plan_desk import JONAS, rungwise


@pytest.fixture
def written(tmp_path: Path) -> Path:
    rungwise(tmp_path, "plan", "new", "--trainee", JONAS)
    return tmp_path
