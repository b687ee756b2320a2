"""Every parameter says what it is; the hash follows the values."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields, replace

import pytest

from analysis.motion.parameters import GridParameters, Parameters, parameters_sha


@pytest.mark.parametrize("group", [f.name for f in fields(Parameters)])
def test_every_parameter_has_unit_meaning_and_source(group: str) -> None:
    for item in fields(getattr(Parameters(), group)):
        assert set(item.metadata) == {"unit", "larger", "source"}, item.name
        assert all(item.metadata.values()), item.name


def test_parameters_are_frozen_and_hashed_by_value() -> None:
    with pytest.raises(FrozenInstanceError):
        Parameters().grid.rate_hz = 50.0  # type: ignore[misc]
    assert parameters_sha(Parameters()) == parameters_sha(Parameters())
    changed = replace(Parameters(), grid=GridParameters(rate_hz=50.0))
    assert parameters_sha(changed) != parameters_sha(Parameters())
