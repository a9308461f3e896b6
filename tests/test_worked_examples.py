"""The worked example in each docstring of the engine comes out as it says."""

import doctest
import importlib
import pkgutil

import pytest

from weldlog import engine

MODULES = [module.name for module in pkgutil.iter_modules(engine.__path__, "weldlog.engine.")]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_the_docstrings_hold(name: str) -> None:
    result = doctest.testmod(
        importlib.import_module(name), optionflags=doctest.NORMALIZE_WHITESPACE
    )
    assert result.failed == 0
