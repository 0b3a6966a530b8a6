"""Filters that load up: every case of wear, what gives way first, and a filter put in front."""
