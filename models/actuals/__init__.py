"""What hours were recorded, against what the standard says: by station, by step.

Figures are of steps, models and boats, never of a person: nothing here reads a name.
"""
