"""The shop's own facts: name, currency, zone, units, start date, thresholds."""
