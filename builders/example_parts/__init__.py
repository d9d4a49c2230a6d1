"""The parts of the example season builder; the scenario itself is in ``tables/``."""
