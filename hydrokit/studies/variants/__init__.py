"""Many variants of one rig: their values, verdicts and limits searched for, as arrays."""
