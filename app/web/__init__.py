"""The page shell: forms, saving, errors, filters, drawings."""
