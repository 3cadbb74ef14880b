"""Forms of the desk room, one file per page."""
