"""Work in hand: pieces that are not on the floor yet."""
