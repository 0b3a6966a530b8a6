"""Runs of hose in one bore: which there are, every bore tried, and where more stops paying."""
