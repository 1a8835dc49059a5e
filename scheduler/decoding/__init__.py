"""From an order of boats to a feasible plan, in compiled loops."""
