"""The examples in this app's docstrings come out as written."""

from __future__ import annotations

import doctest
from types import ModuleType

import pytest

from workshops import budgeting, masking, money, tables


@pytest.mark.parametrize("module", [budgeting, masking, money, tables], ids=lambda m: m.__name__)
def test_the_examples_come_out_as_written(module: ModuleType) -> None:
    """Amounts, break-even, masking and neutral cells."""
    tried = doctest.testmod(module)
    assert tried.attempted > 0
    assert tried.failed == 0
