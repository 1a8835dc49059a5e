"""What the floor has on paper: sheets of crews, travellers of boats, a calendar."""
