"""Fill an empty ledger with the demo's shop."""

from app.demo.actions.loading import load_demo

__all__ = ["load_demo"]
