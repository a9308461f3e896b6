"""Benchmarks of ``manage.py bench``: what a piece of the work costs, as a multiple of a floor."""
