"""Minutes worked: a timer that survives a closed browser, and typed entries."""
