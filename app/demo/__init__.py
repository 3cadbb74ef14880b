"""The demo shop, loaded through the real actions."""
