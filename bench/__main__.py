"""`python -m bench`: how far Loftbook is from the least a Django page can cost."""

import sys

from bench.floor import main

sys.exit(main())
