"""Engine and pragmas, the declarative base, column types, migrations and the unit of work."""
