"""What readings say of a rig: faults, gauges, fits and suspects."""
