"""The suction side: the water a pump draws from, its budget, what limits a lift and what shifts that."""
