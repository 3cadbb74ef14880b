"""Cost lines on a piece and on the shop."""
