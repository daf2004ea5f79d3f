"""``python -m faultwright`` is the command line too."""

import sys

from .command_line import main

sys.exit(main())
