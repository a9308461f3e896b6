"""The welding engine: pure functions and tables. No Django, no clock, no database."""
