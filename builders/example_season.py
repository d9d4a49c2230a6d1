"""Build the example season that ships with Springwalk.

Run ``python builders/example_season.py`` to rewrite src/springwalk/example/season, or add ``--to FOLDER``.
Same seeds, same bytes. It reads only files beside it.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from example_parts import places, scouting, weather
from example_parts.files import REAL_2016, REAL_LICENSE

HERE = Path(__file__).resolve().parent
SHIPPED = HERE.parent / "src" / "springwalk" / "example" / "season"
AS_THEY_ARE = (
    "zones", "events", "passes", "rain", "progress", "seed_lots", "promises", "pest_counts", "flight_reports", "done",
)  # fmt: skip
"""Scenario tables that are the shipped files as they stand."""
SEED_PAST, SEED_RAIN, SEED_MOTHS = 19862015, 2016, 412


def build() -> dict[str, bytes]:
    """Every file of the folder by its path inside it."""
    written = {
        "invented_fields.geojson": places.fields_geojson(),
        "invented_plantings.csv": scouting.plantings(),
        "invented_traps.csv": scouting.copy_of("traps.csv", leave_out=("rate", "person")),
        "invented_catches.csv": scouting.catches(SEED_MOTHS),
        "invented_walks.csv": scouting.walks(),
        "weather/invented_past_years.csv": weather.past_years(SEED_PAST),
        "weather/invented_rain_2016.csv": weather.rain_2016(SEED_RAIN),
    } | {f"invented_{name}.csv": scouting.copy_of(f"{name}.csv") for name in AS_THEY_ARE}
    copied = {
        "README.md": HERE / "example_parts" / "README.md",
        "season.toml": HERE / "example_parts" / "season.toml",
        "weather/lincoln_2016.csv": REAL_2016,
        "weather/lincoln_2016.LICENSE.txt": REAL_LICENSE,
    }
    return {name: text.encode("utf-8") for name, text in written.items()} | {
        name: path.read_bytes() for name, path in copied.items()
    }


def main() -> None:
    """Write the folder."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path, default=SHIPPED, help="folder to write (default: the shipped one)")
    folder: Path = parser.parse_args().to
    for name, content in build().items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        print(f"{name}: {len(content):,} bytes")


if __name__ == "__main__":
    main()
