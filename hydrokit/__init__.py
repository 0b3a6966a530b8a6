"""Hydraulics of portable filtration rigs."""
