"""The shapes the database has had, oldest first."""
