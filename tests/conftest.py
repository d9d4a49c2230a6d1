"""Property tests draw every example in ``make test`` and a quarter of them where slow tests are left out."""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("quick", max_examples=25)


def pytest_configure(config: pytest.Config) -> None:
    """Before the tests are read, which ask ``settings`` how much to draw."""
    if "not slow" in config.option.markexpr:
        settings.load_profile("quick")
