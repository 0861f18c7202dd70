"""Axlewright: wheel-end loads, ratings, balance and cold tire pressures from weigh tickets."""

import os

__version__ = "0.2.0"

# The matrices here are small: threads of the linear algebra only wait for each other, on a busy machine for seconds.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
