"""One sheet for each question, and the sections that several of them share."""
