"""Twenty devices enter torque values while others load pages: how long each waits, at the real server on a real disk.

Run: python benchmarks/bay_load.py [--full] [--seconds N] [--devices N] [--keep FOLDER] [--first] [--docs]
The work is in the folder `bay_load` beside this file. Exit status 1 if an aim is missed.
"""

import sys

if __name__ == "__main__":
    from bay_load.main import main

    sys.exit(main())
