"""Judge against general-purpose detectors on practice and real logs; writes docs/judge-score.md.

Run: python benchmarks/judge_score.py [--quick] [--cases N] [--seed N] [--real FOLDER]
The work is in the folder `judge_score` beside this file.
"""

import sys

if __name__ == "__main__":
    from judge_score.main import main

    sys.exit(main())
