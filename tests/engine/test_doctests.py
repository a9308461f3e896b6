"""The examples in the engine's docstrings are worked examples: they hold as printed."""

import doctest
from importlib import import_module
from pkgutil import iter_modules

import pytest

import weldlog.engine

MODULES = [each.name for each in iter_modules(weldlog.engine.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    module = import_module(f"weldlog.engine.{name}")
    assert doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE).failed == 0
