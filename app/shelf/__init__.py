"""The shelf: materials at moving average cost, bought, used, counted."""
