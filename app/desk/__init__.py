"""Pages and named actions that span rooms: Today, a piece's sheet, log a find, settings."""
