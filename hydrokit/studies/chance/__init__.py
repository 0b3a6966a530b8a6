"""What is stated with ±: distributions, samples, and what moves what."""
