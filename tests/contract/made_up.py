"""Made-up records the contract tests share."""

from __future__ import annotations

from datetime import date

from springwalk.records import Catch, Day, Field, Recommendation, Record, Step, Stop, Trap, Walk
from springwalk.store import Store
from springwalk.store.days import put_days
from springwalk.store.entries import append, append_raw, heads, put_record
from springwalk.store.files import put_file

SHA_A, SHA_B = "a" * 64, "b" * 64


def trap(id: str = "t1", name: str = "By the creek") -> Trap:
    """A trap."""
    return Trap(id=id, name=name, latitude=41.5, longitude=-93.25)


def catch(moths: int) -> Catch:
    """One reading of trap t1, always of the same morning."""
    return Catch(trap="t1", since=date(2026, 4, 20), read=date(2026, 4, 21), moths=moths)


def day(date_of_april: int, min_c: float | None = 3.1, max_c: float | None = 17.2, station: str = "north") -> Day:
    """A day of April 2026."""
    return Day(station=station, date=date(2026, 4, date_of_april), min_c=min_c, max_c=max_c, source="a.csv")


def field() -> Field:
    """A field with letters beyond ASCII in its name."""
    outline = {"type": "Polygon", "coordinates": [[[-93.2, 41.5], [-93.1, 41.5], [-93.1, 41.6], [-93.2, 41.5]]]}
    return Field(id="f1", name="Élan 80 °", outline=outline, area_ha=32.4, latitude=41.5, longitude=-93.2)


def walk() -> Walk:
    """A walk with one stop."""
    return Walk(id="w1", field="f1", walked=date(2026, 5, 20), collars=3.5, stops=(Stop(places=20, fresh_cut_at=2),))


def advised() -> Recommendation:
    """A recommendation of two lines and two parts."""
    return Recommendation(
        id="f1:2026-05-20:ab12", field="f1", date=date(2026, 5, 20), said="Spray on 21 May.\nThe label is the law.",
        parts=("Low end: spray.", "The rest: leave it."), text="Élan 80 °: spray.", act_on=date(2026, 5, 21),
        price_usd_bu=4.5, assumed=("crop", "wage"), engine_version="1", settings_hash="00ff", shown='{"field": "f1"}',
    )  # fmt: skip


def told() -> Step:
    """That somebody was told of it."""
    return Step(recommendation=advised().id, field="f1", date=date(2026, 5, 20), what="told", who="Ann", how="phone")


def records_of(store: Store, kind: str | None = None) -> list[Record | None]:
    """The records that stand now, by thing; None for what is not understood."""
    with store.reading() as read:
        return [entry.record for entry in heads(read, kind)]


def fill(store: Store) -> None:
    """A little of everything: revisions, a conflict, a text nobody understands, two days revised, a receipt."""
    with store.writing() as write:
        for record in (field(), trap(), trap("t2"), catch(3), walk()):
            put_record(write, record, person="Ada")
        put_record(write, catch(4))
        first = append(write, trap("t3"), device="phone-1")
        append(write, trap("t3", "left"), parents=[first.id], device="phone-1")
        append(write, trap("t3", "right"), parents=[first.id], device="phone-2")
        append_raw(write, "hail", 7, '{"size": "pea", "note": "\u2028 ünder"}', thing="storm", device="phone-9")
        put_days(write, [day(1), day(2), day(3, None, None)])
    with store.writing() as write:
        put_days(write, [day(2, 2.9), day(1, station="south")])
        put_file(write, "weather/north.csv", SHA_A)
    with store.writing() as write:
        put_file(write, "weather/north.csv", SHA_B)
