"""`python -m scheduler`: every command but the board, without web libraries."""

from __future__ import annotations

import sys

from scheduler.main import main

sys.exit(main())
