"""Everything that proves the ledger does what it says."""
