"""LAPACK's solver of banded positive definite systems, without the rest of `scipy.linalg`.

That package takes longer to import than a whole session takes to analyse, and an analysis of many files starts several
processes. So SciPy's LAPACK wrappers are loaded by themselves, where this SciPy keeps them where it always has.
"""

from __future__ import annotations

from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from typing import Any

_WRAPPERS = "scipy.linalg._flapack"


def _lapack() -> Any:
    package = find_spec("scipy.linalg")  # looks for it, does not run it
    places = package.submodule_search_locations if package else None
    spec = PathFinder.find_spec(_WRAPPERS, places)
    if spec is None or spec.loader is None:
        from scipy.linalg import lapack

        return lapack
    wrappers = module_from_spec(spec)
    spec.loader.exec_module(wrappers)
    return wrappers


dpbsv = _lapack().dpbsv
"""`scipy.linalg.lapack.dpbsv`: factor and solve, by the band form of Cholesky."""
