"""Money, days, measures and words in plain Python, for every other room to stand on."""
