"""What no plan can beat: a bound on level 1 from people, molds and places together."""
