"""The real 2016 spring at Lincoln, Nebraska, as arrays, and made-up seasons laid over it."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from springwalk.engine.working import Inputs
from springwalk.units import f_to_c

BEGIN, DAYS = date(2016, 3, 1), 137
VECTOR = Path(__file__).parent / "published" / "lincoln_2016.csv"


def day(month: int, number: int) -> int:
    """Index of a day of 2016 in the season that begins on 1 March."""
    return (date(2016, month, number) - BEGIN).days


def extremes_c() -> tuple[np.ndarray, np.ndarray]:
    """Daily minimum and maximum in °C, 1 March to 15 July; the one missing day (17 June) straight across."""
    with VECTOR.open(newline="") as handle:
        rows = {row["date"]: row for row in csv.DictReader(handle)}
    out = []
    for name in ("min_f", "max_f"):
        text = [rows[(BEGIN + timedelta(days=k)).isoformat()][name] for k in range(DAYS)]
        values = np.array([float(t) if t else np.nan for t in text])
        seen = np.flatnonzero(~np.isnan(values))
        out.append(f_to_c(np.interp(np.arange(DAYS), seen, values[seen])))
    return out[0], out[1]


def season(*, today: int, arrivals: dict[int, float], cover: list[np.ndarray], planted: list[float],
           green_end: list[float], members: int = 1) -> Inputs:  # fmt: skip
    """Inputs of units that share the station's cell; the whole spring is observed, every member alike."""
    low, high = extremes_c()
    n = len(planted)
    arrived = np.zeros((n, DAYS))
    for night, weight in arrivals.items():
        arrived[:, night] = weight
    return Inputs(
        min_c=np.tile(low, (1, members, 1)), max_c=np.tile(high, (1, members, 1)), today=today,
        cell=np.zeros(n, np.int64), arrived=arrived, cover=np.array(cover), planted=np.array(planted, float),
        green_end=np.array(green_end, float), seen_unit=np.zeros(0, np.int64), seen_day=np.zeros(0, np.int64),
        seen_collars=np.zeros(0),
    )  # fmt: skip


def four_fields(*, today: int, members: int = 1) -> Inputs:
    """One flight on the nights of 14–15 April and four fields: tilled black before; green till killed and planted
    5 May; green, killed 22 April, clean, planted 12 May; green till 20 May, planted 21 May."""
    dead = 0.05
    cover = [np.ones(DAYS) for _ in range(4)]
    cover[0][:] = 0.0
    for unit, end in ((1, day(5, 5)), (2, day(4, 22)), (3, day(5, 20))):
        cover[unit][end:] = dead
    return season(
        today=today,
        members=members, arrivals={day(4, 14): 0.5, day(4, 15): 0.5}, cover=cover,
        planted=[day(5, 5), day(5, 5), day(5, 12), day(5, 21)], green_end=[np.nan, day(5, 5), day(4, 22), day(5, 20)],
    )  # fmt: skip
