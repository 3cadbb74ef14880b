"""What is for sale now: listings, asking prices, channels, holds."""
