"""The three sheets, one file each, and the frame around them."""
