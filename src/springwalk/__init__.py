"""Springwalk: which corn fields to walk this morning, for what, and why."""

import os

__version__ = "0.1.0"

# Before numpy is read. Our matrices are small: on two cores a second thread spins and waits, 1.5 times the processor
# time for the same minutes (python -m benchmarks.morning_values, 500 fields: 2.6 against 4.0 CPU s, 25 November 2026).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
