"""A complete small brief to change in one place."""

from __future__ import annotations

from importlib import resources

import pytest


@pytest.fixture(scope="session")
def template() -> str:
    """The brief that `stockproof new` writes."""
    return resources.files("stockproof.brief").joinpath("template.toml").read_text()
