"""What a phone wrote down without signal: kept on the phone, sent home once, never doubled."""
