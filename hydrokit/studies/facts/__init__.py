"""Facts of one solved rig that several questions tell: heads, duties, flows delivered, weights, trust."""
