"""The search for flows and heads compiled with numba, of the extra ``fast``; see acceleration.py for when it is used."""
