"""Forecast of the level window against a straight line and an exponential fit; writes docs/fill-forecast.md's table.

Run: python benchmarks/forecast_score.py [--quick] [--real FOLDER] [--runs N] [--seed N] [--docs FILE]
The work is in the folder `forecast_score` beside this file. Exit status 1 if an aim is missed.
"""

import sys

if __name__ == "__main__":
    from forecast_score.main import main

    sys.exit(main())
