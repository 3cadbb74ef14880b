"""Trips: the mileage log, at the rate of the day or at actual cost, shared over pieces."""
