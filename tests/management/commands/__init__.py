"""Commands that only the tests have."""
