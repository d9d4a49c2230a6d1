"""The store's contract runs once per backend: add a name to BACKENDS and a place to ``new_location``."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from springwalk.store import Store, open_store
from tests.stores import empty_store

BACKENDS = ["sqlite"]

NewLocation = Callable[[], str]


@pytest.fixture(scope="module", params=BACKENDS)
def new_location(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> NewLocation:
    """A function that names a place where no store is yet."""
    assert request.param == "sqlite"
    folder = tmp_path_factory.mktemp("stores")
    numbers = itertools.count()
    return lambda: str(folder / f"season-{next(numbers)}.db")


@pytest.fixture
def store(new_location: NewLocation) -> Iterator[Store]:
    """An empty store of its own."""
    with open_store(empty_store(Path(new_location()))) as made:
        yield made


@pytest.fixture(scope="module")
def shared_store(new_location: NewLocation) -> Iterator[Store]:
    """One store for all examples of a property; each example makes names of its own."""
    with open_store(new_location(), create=True) as made:
        yield made
