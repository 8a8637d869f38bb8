"""`python -m app` opens the window."""

import sys

from app.start import main

sys.exit(main())
