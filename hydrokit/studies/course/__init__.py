"""The course of filling and emptying: tanks, what passes, what batteries give, how long it takes."""
