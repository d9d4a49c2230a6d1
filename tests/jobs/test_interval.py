"""The question behind ``interval``."""

from __future__ import annotations

from springwalk.jobs.interval import interval


def test_a_surer_interval_is_wider() -> None:
    """Three ways under their names, each as [low, high], and the level at work in each."""
    usual, surer = interval(x=3, n=100), interval(x=3, n=100, level=0.99)
    assert list(usual) == ["wilson", "exact", "jeffreys"]
    for name, (low, high) in usual.items():
        assert surer[name][0] < low < 0.03 < high < surer[name][1]
