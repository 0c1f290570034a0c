"""`python -m mateline`: the command line, where no script of its name is installed."""

import sys

from mateline.cli import main

if __name__ == "__main__":
    sys.exit(main())
