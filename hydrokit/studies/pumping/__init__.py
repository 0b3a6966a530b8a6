"""Pumps against rigs: curves that cross, and one pump in the place of another."""
