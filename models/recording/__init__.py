"""What the floor says of its work: entries, what they come to, what they must keep.

An entry is never changed or removed. Another one may correct it; then the later one
holds, and both stay. What holds comes to the same rows that `in_hand.csv` gives.
"""
